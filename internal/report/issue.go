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
	Unread  string // that nobody who grew up with the language has read it
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
	b := IssueBlock{Heading: v.F("Issued for %s", v.client())}
	add := func(term, value string) {
		if value != "" {
			b.Facts = append(b.Facts, Pair{Term: term, Value: value})
		}
	}
	add(v.S("Report"), visit.Report.Value)
	add(v.S("Site"), v.place())
	add(v.S("Visit"), v.dateWords(visit.Date.Value))
	add(v.S("Measured by"), visit.By.Value)
	add(v.S("Issued by"), p.Name.Value)
	add(v.S("Licence"), p.Licence.Value)
	add(v.S("State of the data"), v.stateOf(v.revisions))
	if v.Unread() {
		b.Unread = v.S("The words of this report have not yet been read by a native speaker of its language.")
	}
	for _, r := range v.revisions.List {
		b.History = append(b.History, RevisionRow{v.dateWords(r.Date), r.Date.String(), r.Hash, v.typed(r.Subject)})
	}
	if t := v.Record.Terms; t != nil {
		note := renderNote(*t)
		b.Terms = &note
	}
	if name := p.Name.Value; name != "" {
		b.Signers = append(b.Signers, Signer{v.F("For %s", name), []string{v.S("Name and licence"), v.S("Signature"), v.S("Date")}})
	}
	if name := v.client(); name != "" {
		b.Signers = append(b.Signers, Signer{v.F("Received for %s", name), []string{v.S("Name and position"), v.S("Signature"), v.S("Date")}})
	}
	return b
}

func (f format) stateOf(r Revisions) string {
	switch {
	case r.Data == "":
		return ""
	case r.Changed:
		return f.F("%s, and changes made since", r.Data)
	}
	return r.Data
}
