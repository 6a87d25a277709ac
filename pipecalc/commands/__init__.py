"""The commands, one module each: ``add`` declares its arguments, the rest carries it out."""
