package serve

import (
	"context"
	"io"
)

// Run refuses: what runs in a browser serves nobody.
func Run(context.Context, string, io.Writer) error {
	return AddressError{"-serve: not in a browser"}
}
