"""How a take comes about from files: sound or keys become integers heard, and those go through the judge. One straight line each."""
