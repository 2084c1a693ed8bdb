"""The rules screen: what each rule looks at, its record and its values."""
