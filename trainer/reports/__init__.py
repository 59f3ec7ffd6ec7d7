"""What is shown of a take: JSON for programs, text for people. Strings only; whoever calls prints them."""
