// Command auditgen makes an electrical energy assessment of spot readings,
// assumed duty and a tariff: a static HTML report that explains every figure.
package main

import (
	"os"
)

func main() {
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
