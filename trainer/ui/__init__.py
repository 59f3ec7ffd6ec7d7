"""What a session looks like: views are pure functions from a state to text, ``screen`` and ``lines`` show them, ``keys`` hears commands."""
