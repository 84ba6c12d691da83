package intake

import (
	"bufio"
	"io"
	"strconv"
)

// tidyNames are the columns of a tidy file, by channel.
var tidyNames = [channels]string{"energy_kwh", "export_kwh", "reactive_kvarh", "leading_kvarh"}

// WriteTidy writes the log in the form that the program keeps: one line for each
// interval, its start in UTC, its length in seconds, energies in the units of
// the header with all their digits. ReadCSV reads it back without a column map.
func (l *Log) WriteTidy(w io.Writer) error {
	b := bufio.NewWriter(w)
	b.WriteString("start_utc,duration_s")
	for c := range channels {
		if l.Has.Has(c) {
			b.WriteString("," + tidyNames[c])
		}
	}
	stated := false
	for i := range l.Rows {
		stated = stated || l.Rows[i].Quality != Unstated
	}
	if stated {
		b.WriteString(",quality")
	}
	b.WriteByte('\n')
	var buf []byte
	for i := range l.Rows {
		r := &l.Rows[i]
		buf = utc(r.Start).AppendFormat(buf[:0], "2006-01-02T15:04:05Z")
		buf = append(buf, ',')
		buf = strconv.AppendInt(buf, int64(r.Duration), 10)
		for c := range channels {
			if l.Has.Has(c) {
				buf = append(buf, ',')
				buf = appendKilo(buf, r.Values[c])
			}
		}
		if stated {
			buf = append(append(buf, ','), r.Quality.String()...)
		}
		b.Write(append(buf, '\n'))
	}
	return b.Flush()
}

// appendKilo writes an energy in thousands of its unit, with no zeros at its end.
func appendKilo(buf []byte, e Energy) []byte {
	buf = strconv.AppendInt(buf, int64(e/1e9), 10)
	if rest := int64(e % 1e9); rest > 0 {
		digits := strconv.AppendInt(nil, rest+1e9, 10)
		digits[0] = '.'
		n := len(digits)
		for digits[n-1] == '0' {
			n--
		}
		buf = append(buf, digits[:n]...)
	}
	return buf
}
