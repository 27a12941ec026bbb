"""What happens by the clock: the dispatcher of pings. Sends through a port and knows no chat library."""
