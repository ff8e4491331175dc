package main

import (
	"context"
	"flag"
	"fmt"
	"slices"
	"strings"

	"echowright/assets"
	"echowright/planner"
	"echowright/planner/compare"
	"echowright/planner/diag"
	"echowright/planner/layout"
	"echowright/planner/quantity"
	"echowright/planner/resolve"
	"echowright/planner/scene"
)

// shelf is the kinds and targets a comparison may name, and the weather it is made in.
type shelf struct {
	kinds   []scene.Kind
	targets []scene.Target
	air     scene.Air
}

// runKinds lists kinds of module, shows one, or compares several.
func runKinds(_ context.Context, c *call) (int, error) {
	var against, from, temperature, humidity string
	words, err := c.parse(func(f *flag.FlagSet) {
		f.StringVar(&against, "against", "wall,post-75,cloth", "targets")
		f.StringVar(&from, "layout", "", "a layout whose kinds, targets and weather to take")
		f.StringVar(&temperature, "temperature", "5..35 degC", "span of temperature")
		f.StringVar(&humidity, "humidity", "20..90 %", "span of humidity")
	}, 0, 20)
	if err != nil {
		return 0, err
	}
	s, err := c.shelf(from, temperature, humidity)
	if err != nil {
		return 0, err
	}
	targets, err := pick("target", strings.Split(against, ","), s.targets, func(t scene.Target) string { return t.Name })
	if err != nil {
		return 0, err
	}
	if len(words) == 0 {
		s.list(c)
		return exitMet, nil
	}
	if words[0] == "compare" {
		words = words[1:]
		if len(words) < 2 {
			return 0, usage("kinds compare: name the kinds to set side by side, two at least, such as: echowright kinds compare %s %s", s.kinds[0].Name, s.kinds[1].Name)
		}
		return exitMet, s.compare(c, words, targets)
	}
	for _, w := range words {
		if err := s.show(c, w, targets); err != nil {
			return 0, err
		}
	}
	return exitMet, nil
}

// shelf reads the built-in kinds, and those of a layout when one is named.
func (c *call) shelf(file, temperature, humidity string) (shelf, error) {
	doc, list := layout.ParseKinds(assets.KindsFile, assets.Kinds())
	if list.HasErrors() {
		return shelf{}, list
	}
	var s shelf
	if s.kinds, s.targets, list = resolve.Kinds(doc); list.HasErrors() {
		return shelf{}, list
	}
	var err error
	s.air.PressurePa = scene.Span{Lo: 101325, Hi: 101325}
	if s.air.TemperatureC, err = span(quantity.Temperature, "--temperature", temperature); err != nil {
		return shelf{}, err
	}
	if s.air.HumidityPct, err = span(quantity.Humidity, "--humidity", humidity); err != nil {
		return shelf{}, err
	}
	if file == "" {
		return s, nil
	}
	shown, data, err := c.readUpTo(file, fileLimit)
	if err != nil {
		return shelf{}, err
	}
	sc, list := planner.Load(shown, data, assets.Kinds())
	if len(list) > 0 {
		return shelf{}, list
	}
	own, err := ownKinds(shown, data, doc)
	if err != nil {
		return shelf{}, err
	}
	s.kinds, s.targets, s.air = append(own, s.kinds...), append(sc.Targets, s.targets...), sc.Air
	return s, nil
}

// ownKinds resolves every kind a sound layout describes, whether a sensor has it or not, and any other its
// sensors name: each kind in turn is given to the layout's first sensor.
func ownKinds(file string, data []byte, builtIn *layout.Document) (out []scene.Kind, err error) {
	doc, list := layout.Parse(file, data)
	if list.HasErrors() {
		return nil, list
	}
	sensors, _ := doc.Root().Get("sensors")
	kinds, _ := doc.Root().Get("kinds")
	names := kinds.Keys()
	for _, s := range sensors.List() {
		if k := s.Value("kind").Text(); !slices.Contains(names, k) {
			names = append(names, k)
		}
	}
	for _, name := range names {
		with, err := doc.Set(sensors.List()[0].Path()+".kind", name)
		if err != nil {
			return nil, err
		}
		sc, list := resolve.Scene(with, builtIn)
		if list.HasErrors() {
			return nil, list
		}
		i := slices.IndexFunc(sc.Kinds, func(k scene.Kind) bool { return k.Name == name })
		out = append(out, sc.Kinds[i])
	}
	return out, nil
}

func span(kind quantity.Kind, name, text string) (scene.Span, error) {
	lo, hi, err := quantity.ParseSpan(kind, text)
	if err != nil {
		return scene.Span{}, usage("kinds: %s: %v", name, err)
	}
	return scene.Span{Lo: lo, Hi: hi}, nil
}

// pick finds things by name, in the order named.
func pick[T any](what string, names []string, all []T, name func(T) string) (out []T, err error) {
	for _, n := range names {
		i := slices.IndexFunc(all, func(t T) bool { return name(t) == n })
		if i < 0 {
			var known []string
			for _, t := range all {
				known = append(known, name(t))
			}
			return nil, usage("kinds: no %s %s; there are %s", what, diag.Quote(n), strings.Join(known, ", "))
		}
		out = append(out, all[i])
	}
	return out, nil
}

func kindName(k scene.Kind) string { return k.Name }

func (s shelf) list(c *call) {
	width := 0
	for _, k := range s.kinds {
		width = max(width, len(k.Name))
	}
	for _, k := range s.kinds {
		fmt.Fprintf(c.out, "%-*s  %s\n", width, k.Name, k.Title)
	}
	fmt.Fprint(c.out, "\nall values are estimates unless a layout says otherwise; echowright kinds NAME shows one, kinds compare A B sets them side by side\n")
}

func (s shelf) show(c *call, name string, targets []scene.Target) error {
	ks, err := pick("kind", []string{name}, s.kinds, kindName)
	if err != nil {
		return err
	}
	k := ks[0]
	title := k.Name
	if k.Title != "" {
		title += ": " + k.Title
	}
	fmt.Fprintln(c.out, title)
	if k.Serves != "" {
		fmt.Fprintf(c.out, "  serves: %s\n", k.Serves)
	}
	if k.Limits != "" {
		fmt.Fprintf(c.out, "  not for: %s\n", k.Limits)
	}
	fmt.Fprintln(c.out)
	if len(targets) > 1 {
		drawn, err := compare.Beam(k, targets[0], targets[1], s.air)
		if err != nil {
			return err
		}
		fmt.Fprintln(c.out, drawn)
	}
	if err := s.compare(c, []string{name}, targets); err != nil {
		return err
	}
	fmt.Fprintf(c.out, "\nwhere its values come from\n%s", compare.Sources(k))
	return nil
}

func (s shelf) compare(c *call, names []string, targets []scene.Target) error {
	ks, err := pick("kind", names, s.kinds, kindName)
	if err != nil {
		return err
	}
	t, err := compare.Side(ks, targets, s.air)
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "air %g..%g degC, %g..%g %%\n\n%s", s.air.TemperatureC.Lo, s.air.TemperatureC.Hi, s.air.HumidityPct.Lo, s.air.HumidityPct.Hi, t.Text())
	return nil
}
