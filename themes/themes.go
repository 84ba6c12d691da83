// Package themes carries the report's themes: folders of templates and one
// style sheet each. It holds no logic; a folder of the user's laid over a theme
// replaces the files that it has and leaves the rest.
package themes

import "embed"

// Files holds the themes by folder. "all:" keeps files whose names begin with
// an underscore or a point, which would otherwise be left out without a word.
//
//go:embed all:folio
var Files embed.FS
