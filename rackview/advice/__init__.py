"""The public pure functions: assess, advise, forecast and plan."""
