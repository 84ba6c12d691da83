package plant

import (
	"bytes"
	"fmt"
	"time"
)

// Quarter is a quarter of an hour of a made-up load.
type Quarter struct {
	Start    time.Time // UTC
	Wh, Varh int64
}

// Quarters is the year of quarter hours of testdata/intervals/year.py, from a
// linear congruence, beginning with 2031 in Central Europe.
func Quarters() []Quarter {
	quarters := make([]Quarter, 35040)
	x := int64(2031)
	start := time.Date(2030, 12, 31, 23, 0, 0, 0, time.UTC)
	for i := range quarters {
		x = (x*1103515245 + 12345) % (1 << 31)
		hour, day := i/4%24, i/96
		e := 9000 + (x>>16)%4000
		if (day+2)%7 < 5 && 7 <= hour && hour < 18 {
			e += 16000 + (x>>8)%6000
		}
		if day < 59 || day > 304 {
			e += 2500
		}
		if i%2911 == 1200 {
			e += 9000
		}
		quarters[i] = Quarter{start.Add(time.Duration(i) * 15 * time.Minute), e, e * (40 + (x>>12)%50) / 100}
	}
	return quarters
}

// QuartersCSV is the same as a file of intervals.
func QuartersCSV() []byte {
	var b bytes.Buffer
	b.WriteString("start_utc,duration_s,energy_kwh,reactive_kvarh\n")
	for _, q := range Quarters() {
		fmt.Fprintf(&b, "%s,900,%d.%03d,%d.%03d\n", q.Start.Format(time.RFC3339), q.Wh/1000, q.Wh%1000, q.Varh/1000, q.Varh%1000)
	}
	return b.Bytes()
}
