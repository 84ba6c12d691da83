package site

import (
	"reflect"

	"auditgen/internal/source"
	"auditgen/internal/tariff"
)

// File is a file that a person writes, with the description of its keys.
type File struct {
	Name   string // where it lies
	Schema string // the name of its JSON Schema
	About  string // what it holds
	*source.Node
}

// Files describes every file that a person writes, in the order in which they
// are met. It gives an error when a key is not described.
func Files() ([]File, error) {
	files := []File{
		{Name: ProviderFile, Schema: "provider.json", About: "Who makes the report, and with which instruments. It lies at the root, above tariffs/ and sites/."},
		{Name: "sites/<site>/site.yaml", Schema: "site.json", About: "The client, the supply, the points where readings are taken, and the calendars."},
		{Name: "sites/<site>/visits/<date>.yaml", Schema: "visit.json", About: "What was found on a day. The first visit is a full record; a later one lists only what was measured again or changed, and what no longer stands."},
		{Name: "sites/<site>/" + BillsName, Schema: "bills.json", About: "What the supplier billed; optional. Each bill is rebuilt from its own quantities, and the estimate is held against it."},
		{Name: "sites/<site>/" + MeasuresName, Schema: "measures.json", About: "What is proposed; optional. Each measure is worth what the year's bill, priced again with its changes, falls by."},
		{Name: "tariffs/<name>.yaml", Schema: "tariff.json", About: "A tariff, as the supplier's price sheet states it."},
	}
	for i, t := range []reflect.Type{reflect.TypeFor[Provider](), reflect.TypeFor[Site](), reflect.TypeFor[Visit](), reflect.TypeFor[BillsFile](), reflect.TypeFor[MeasuresFile](), reflect.TypeFor[tariff.File]()} {
		n, err := source.Describe(t)
		if err != nil {
			return nil, err
		}
		files[i].Node = n
	}
	return files, nil
}
