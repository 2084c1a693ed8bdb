"""The records screen: every recorded event, to look through, correct or take back."""
