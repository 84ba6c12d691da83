package report

import (
	"fmt"

	"auditgen/internal/assess"
	"auditgen/internal/export"
)

// Download is a file beside the page.
type Download struct{ Link, What, Name, Size string }

// dataFolder holds the files beside the pages of a visit.
const dataFolder = "data"

// dataFiles are the files beside the pages of each visit, with the links to them.
func dataFiles(visits []*assess.Assessment) ([]File, [][]Download, error) {
	var files []File
	all := make([][]Download, len(visits))
	for i, a := range visits {
		made, err := export.Files(a)
		if err != nil {
			return nil, nil, err
		}
		date := a.Record.Visit.Date.Value.String()
		for _, f := range made {
			link := dataFolder + "/" + f.Name
			files = append(files, File{date + "/" + link, f.Data})
			all[i] = append(all[i], Download{link, f.What, f.Name, newFormat(a.Record.Words, "").fileSize(len(f.Data))})
		}
	}
	return files, all, nil
}

// fileSize words a size in bytes.
func (f format) fileSize(n int) string {
	if n < 1000 {
		return f.F("%d\u00a0bytes", n)
	}
	return f.withUnit(fmt.Sprint((n+500)/1000), "kB")
}
