package serve

// AddressError is an address this package does not serve on.
type AddressError struct{ text string }

func (e AddressError) Error() string { return e.text }
