package site_test

import "regexp"

var placed = regexp.MustCompile(`^([^:]+):[1-9][0-9]*:[1-9][0-9]*: `)
