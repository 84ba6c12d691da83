// Package themes carries the report's themes: folders of templates and styles.
// Folio is whole; every other theme, built in or of the user's, is laid over it:
// it replaces the files that it has and leaves the rest.
package themes

import "embed"

// Files holds the themes by folder. "all:" keeps files whose names begin with
// an underscore or a point, which would otherwise be left out without a word.
//
//go:embed all:folio all:ledger
var Files embed.FS
