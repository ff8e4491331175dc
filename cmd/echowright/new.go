package main

import (
	"context"
	"flag"
	"fmt"
	"io/fs"
	"strings"

	"echowright/layouts"
	"echowright/planner/layout"
	"echowright/planner/quantity"
	"echowright/planner/resolve"
)

// runNew prints a layout to start from: a sample, or one made from the size of the machine.
func runNew(_ context.Context, c *call) (int, error) {
	var length, width, corner, speed, to string
	words, err := c.parse(func(f *flag.FlagSet) {
		f.StringVar(&length, "length", "", "length of the machine")
		f.StringVar(&width, "width", "", "width of the machine")
		f.StringVar(&corner, "corner", "0 mm", "corner radius")
		f.StringVar(&speed, "speed", "0.5 m/s", "top speed")
		f.StringVar(&to, "to", "", "file to write")
	}, 0, 1)
	if err != nil {
		return 0, err
	}
	if len(words) == 1 {
		data, err := sample(words[0])
		if err != nil {
			return 0, err
		}
		return exitMet, c.deliver(to, data)
	}
	if length == "" && width == "" {
		fmt.Fprintf(c.out, "samples: %s\nor give --length and --width of the machine\n", strings.Join(samples(), ", "))
		return exitMet, nil
	}
	var o resolve.NewOptions
	for _, q := range []struct {
		flag, text string
		kind       quantity.Kind
		into       *float64
	}{
		{"length", length, quantity.Length, &o.LengthM}, {"width", width, quantity.Length, &o.WidthM},
		{"corner", corner, quantity.Length, &o.CornerM}, {"speed", speed, quantity.Speed, &o.SpeedMS},
	} {
		if *q.into, err = quantity.Parse(q.kind, q.text); err != nil {
			return 0, usage("new: --%s: %v", q.flag, err)
		}
		// NewLayout takes zero for "not given"; here it was given. Only a corner may be sharp.
		if *q.into < 0 || *q.into == 0 && q.flag != "corner" {
			return 0, usage("new: --%s: '%s' cannot be; give more than 0", q.flag, q.text)
		}
	}
	data, err := resolve.NewLayout(o)
	if err != nil {
		return 0, usage("new: %v", err)
	}
	if short := o.Shortfall(); short != "" {
		fmt.Fprintf(c.err, "new: not sure to be met: %s\n", short)
	}
	return exitMet, c.deliver(to, data)
}

// samples are the names of the sample layouts.
func samples() (names []string) {
	files, err := fs.Glob(layouts.FS, "*.yaml")
	if err != nil {
		return nil
	}
	for _, f := range files {
		names = append(names, strings.TrimSuffix(f, ".yaml"))
	}
	return names
}

func sample(name string) ([]byte, error) {
	data, err := layouts.FS.ReadFile(strings.TrimSuffix(name, ".yaml") + ".yaml")
	if err != nil {
		return nil, usage("new: no sample '%s'; there are %s", name, strings.Join(samples(), ", "))
	}
	return data, nil
}

// runFormat prints how a layout file is written, or the schema for text editors.
func runFormat(_ context.Context, c *call) (int, error) {
	var schema bool
	if _, err := c.parse(func(f *flag.FlagSet) { f.BoolVar(&schema, "schema", false, "JSON Schema") }, 0, 0); err != nil {
		return 0, err
	}
	page := layout.FormatPage()
	if schema {
		page = layout.Schema()
	}
	_, err := c.out.Write(page)
	return exitMet, err
}
