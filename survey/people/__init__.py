"""Who may do what on which wall."""
