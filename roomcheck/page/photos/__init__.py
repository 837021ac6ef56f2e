"""The place of a wall's photograph: what its page shows, its pictures, its forms."""
