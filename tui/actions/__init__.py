"""What the user can make the board do, by subject: layers of the application, so that none of them grows too large."""
