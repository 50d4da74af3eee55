// Command tackline plans and runs a plant that builds heavy attachments to order.
package main

import (
	"os"

	"tackline/cli"
)

// version is set by the build.
var version = "unknown"

func main() {
	cli.Version = version
	os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
