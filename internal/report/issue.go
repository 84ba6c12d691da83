package report

import (
	"auditgen/internal/civil"
)

// Revisions tell the state of the data that a report was made of, where it is
// kept in a repository; the zero value says that it is not.
type Revisions struct {
	Data    string     // short hash of the last recorded change to any file used
	Changed bool       // files were changed since
	List    []Revision // changes to the site's folder, newest first
}

// Revision is one recorded change.
type Revision struct {
	Hash, Subject string
	Date          civil.Date
}

// IssueBlock says who issued the report, of what state of the data, and has
// room for signatures on paper.
type IssueBlock struct {
	Heading string
	Facts   []Pair
	History []RevisionRow
	Terms   *Note
	Signers []Signer
}

// RevisionRow is a line of the revision history.
type RevisionRow struct{ Date, ISO, Hash, Subject string }

// Signer is somebody who signs the paper form.
type Signer struct {
	Role  string
	Lines []string // what is written by hand, each on its own line
}

func (v *visit) issue() IssueBlock {
	p, visit := v.Record.Provider, v.Record.Visit
	b := IssueBlock{Heading: "Issued for " + v.client()}
	add := func(term, value string) {
		if value != "" {
			b.Facts = append(b.Facts, Pair{Term: term, Value: value})
		}
	}
	add("Report", visit.Report.Value)
	add("Site", v.place())
	add("Visit", dateWords(visit.Date.Value))
	add("Measured by", visit.By.Value)
	add("Issued by", p.Name.Value)
	add("Licence", p.Licence.Value)
	add("State of the data", v.revisions.state())
	for _, r := range v.revisions.List {
		b.History = append(b.History, RevisionRow{dateWords(r.Date), r.Date.String(), r.Hash, typed(r.Subject)})
	}
	if t := v.Record.Terms; t != nil {
		note := renderNote(*t)
		b.Terms = &note
	}
	if name := p.Name.Value; name != "" {
		b.Signers = append(b.Signers, Signer{"For " + name, []string{"Name and licence", "Signature", "Date"}})
	}
	if name := v.client(); name != "" {
		b.Signers = append(b.Signers, Signer{"Received for " + name, []string{"Name and position", "Signature", "Date"}})
	}
	return b
}

func (r Revisions) state() string {
	switch {
	case r.Data == "":
		return ""
	case r.Changed:
		return r.Data + ", and changes made since"
	}
	return r.Data
}
