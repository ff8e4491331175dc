package layout

import (
	"slices"
	"strconv"
	"strings"
	"sync"

	"gopkg.in/yaml.v3"

	"echowright/planner/quantity"
)

// spec is a rule in the tree of all rules, ready for checking.
type spec struct {
	Rule
	kids   map[string]*spec
	order  []string // of kids, as in the table
	item   *spec    // of a List, Named or BySensor
	lo, hi float64  // bounds
	within string   // bounds as text
	when   condition
	assume func() *yaml.Node // Default, read once
}

// condition is Rule.When taken apart: the sibling that must be there and the values it may have (any when empty).
type condition struct {
	key    string
	values []string
}

func (c condition) String() string {
	if len(c.values) == 0 {
		return c.key
	}
	return c.key + ": " + strings.Join(c.values, " | ")
}

var (
	layoutSpec = build(topRules, machineRules, kindRules, sensorRules, targetRules, zoneRules, motionRules, firingRules, wireRules)
	kindsSpec  = build(topRules, targetRules, kindRules)
)

// Table returns every rule of the layout format, in the order of the format page.
func Table() []Rule {
	return slices.Concat(topRules, machineRules, kindRules, sensorRules, targetRules, zoneRules, motionRules, firingRules, wireRules)
}

// build hangs the rules into a tree. A rule must come after the rule above it.
func build(groups ...[]Rule) *spec {
	root := &spec{Rule: Rule{Form: Map, Good: "echowright: 1 and the keys below it"}, kids: map[string]*spec{}}
	for _, rules := range groups {
		for _, r := range rules {
			root.hang(strings.Split(strings.ReplaceAll(r.Path, "[]", ".[]"), "."), prepare(r))
		}
	}
	return root
}

// byName reports whether s holds values by names that are not in the table.
func (s *spec) byName() bool { return s.Form == Named || s.Form == BySensor }

func (s *spec) hang(path []string, leaf *spec) {
	head := path[0]
	if len(path) > 1 {
		next := s.kids[head]
		if head == "*" || head == "[]" {
			next = s.item
		}
		next.hang(path[1:], leaf)
		return
	}
	if head == "*" || head == "[]" {
		s.item = leaf
		return
	}
	s.kids[head] = leaf
	s.order = append(s.order, head)
}

// prepare takes the texts of a rule apart once.
func prepare(r Rule) *spec {
	s := &spec{Rule: r, kids: map[string]*spec{}}
	if r.When != "" {
		key, values, found := strings.Cut(r.When, ": ")
		s.when.key = key
		if found {
			s.when.values = strings.Split(values, ", ")
		}
	}
	switch {
	case r.Form == Address:
		s.lo, s.hi, s.within = leastAddress, mostAddress, addressText(leastAddress)+".."+addressText(mostAddress)
	case r.Form == Whole || r.Form == OfMany:
		a, b, _ := strings.Cut(r.Within, "..")
		lo, _ := strconv.Atoi(a)
		hi, _ := strconv.Atoi(b)
		s.lo, s.hi, s.within = float64(lo), float64(hi), r.Within
	case r.Within != "":
		lo, hi, err := quantity.ParseSpan(r.Units[0], r.Within)
		if err != nil {
			panic(r.Path + ": " + err.Error())
		}
		s.lo, s.hi, s.within = lo, hi, r.Within
	case len(r.Units) > 0:
		s.lo, s.hi, s.within = r.Units[0].Bounds()
	}
	if r.Sourced {
		s.addSourced()
	}
	s.assume = sync.OnceValue(s.readDefault)
	return s
}

func (s *spec) readDefault() *yaml.Node {
	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(s.Default), &doc); err != nil {
		panic(s.Path + ": " + err.Error())
	}
	return doc.Content[0]
}

// addSourced hangs value, spread and source below a value that may be written as a map.
func (s *spec) addSourced() {
	value := s.Rule
	value.Path += ".value"
	value.Sourced, value.Many, value.Need, value.When, value.Default = false, false, true, "", ""
	value.Doc = "The value itself."
	if _, inner, ok := strings.Cut(s.Good, "{value: "); ok {
		value.Good, _, _ = strings.Cut(strings.TrimSuffix(inner, "}"), ",")
	}
	s.hang([]string{"value"}, prepare(value))
	if s.Form == Quantity {
		_, hi, _ := s.Units[0].Bounds()
		s.hang([]string{"spread"}, prepare(Rule{
			Path: s.Path + ".spread", Form: Quantity, Units: s.Units[:1], Within: quantity.FormatSpan(s.Units[0], 0, hi),
			Doc: "How far single modules differ from it, plus or minus.",
		}))
	}
	s.hang([]string{sourceKey}, prepare(Rule{
		Path: s.Path + ".source", Form: Choice, Words: sources, Doc: "Where the value comes from.",
	}))
}

// bounds returns the bounds of a quantity of the kind that a value under s was written in.
func (s *spec) bounds(k quantity.Kind) (lo, hi float64, text string) {
	if s.Form != Row && k == s.Units[0] || s.Form == Row && s.Within != "" {
		return s.lo, s.hi, s.within
	}
	return k.Bounds()
}

// find returns the specs anywhere below s that stand under the key.
func (s *spec) find(key string) []*spec {
	var found []*spec
	for _, k := range s.order {
		if k == key {
			found = append(found, s.kids[k])
		}
		found = append(found, s.kids[k].find(key)...)
	}
	if s.item != nil {
		found = append(found, s.item.find(key)...)
	}
	return found
}
