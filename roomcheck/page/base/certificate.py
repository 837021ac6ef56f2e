"""A certificate of one's own, for the way between this computer and a telephone in the same
network: nobody vouches for it, so its fingerprint is shown on both."""

from __future__ import annotations

import datetime
import ipaddress
import socket
from dataclasses import dataclass
from pathlib import Path

DAYS = 2
"""How long it holds: a visit, and a night. [d]"""


@dataclass(frozen=True, slots=True)
class Certificate:
    """Files of one server's life."""

    certificate: Path
    key: Path
    fingerprint: str
    """SHA-256 in pairs of digits, as browsers show it."""


def make_certificate(address: str, folder: Path) -> Certificate:
    """Make a key and a certificate for one address of the local network."""
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.hazmat.primitives.asymmetric import ec

    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "roomcheck")])
    now = datetime.datetime.now(datetime.UTC)
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - datetime.timedelta(hours=1))
        .not_valid_after(now + datetime.timedelta(days=DAYS))
        .add_extension(
            x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address(address))]),
            critical=False,
        )
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    files = folder / "certificate.pem", folder / "key.pem"
    files[0].write_bytes(certificate.public_bytes(serialization.Encoding.PEM))
    files[1].touch(mode=0o600)
    files[1].write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
    return Certificate(*files, certificate.fingerprint(hashes.SHA256()).hex(":").upper())


def local_address() -> str | None:
    """This computer's address in the local network; None without one. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # RFC 5737: a network that nobody has
        except OSError:
            return None
        address = str(probe.getsockname()[0])
    return None if address.startswith(("127.", "0.")) else address
