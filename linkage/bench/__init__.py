"""A page to work at, from a server on this computer: change a number, see the tight spot move."""
