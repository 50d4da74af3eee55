// Package cli is the commands of the program. Each reads its flags, calls one function of flow or exchange, and writes the
// answer. Manners: results go to standard output, progress and complaints to standard error; exit codes are 0 done,
// 1 the answer is no (faults in the input, a broken rule), 2 the command was wrong, 3 a defect of the program.
package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"tackline/fault"
)

// Exit codes.
const (
	Done   = 0
	No     = 1 // the answer is no
	Usage  = 2
	Defect = 3
)

// Version is set by the build.
var Version = "unknown"

// app is what every command needs of the outside.
type app struct {
	in       io.Reader
	out, err io.Writer
}

// errNo ends a command with exit code 1 after it has said why.
var errNo = errors.New("no")

// errUsage marks an error of the command line itself.
type errUsage struct{ error }

// Main runs one command and gives its exit code.
func Main(args []string, in io.Reader, out, errs io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // a second Ctrl-C ends the program at once
	a := &app{in: in, out: out, err: errs}
	root := a.root()
	root.SetArgs(args)
	root.SetOut(out)
	root.SetErr(errs)
	c, err := root.ExecuteContextC(ctx)
	return a.code(c, err)
}

// code shows the error of a command and gives its exit code.
func (a *app) code(c *cobra.Command, err error) int {
	var usage errUsage
	switch {
	case err == nil:
		return Done
	case errors.Is(err, errNo):
		return No
	case errors.As(err, &usage) || isCommandFault(err):
		fmt.Fprintln(a.err, err)
		fmt.Fprintf(a.err, "usage: %s\nSee %s --help.\n", c.UseLine(), c.CommandPath())
		return Usage
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(a.err, "stopped before it was done")
		return No
	case isPlaceFault(err):
		fmt.Fprintln(a.err, err)
		return No
	}
	for _, f := range fault.All(err) {
		fmt.Fprintln(a.err, f.Error())
	}
	if fault.KindOf(err) == fault.Internal {
		return Defect
	}
	return No
}

// isPlaceFault says whether a file or folder could not be read or written: no defect of the program.
func isPlaceFault(err error) bool {
	var path *fs.PathError
	var link *os.LinkError
	return fault.KindOf(err) == fault.Internal && (errors.As(err, &path) || errors.As(err, &link))
}

// needVerb is the answer of a command that only holds others.
func needVerb(c *cobra.Command, _ []string) error {
	var names []string
	for _, sub := range c.Commands() {
		names = append(names, sub.Name())
	}
	return errUsage{fmt.Errorf("%s: say what to do: %s", c.CommandPath(), strings.Join(names, ", "))}
}

// isCommandFault says whether cobra itself refused the command line.
func isCommandFault(err error) bool {
	for _, begin := range []string{"unknown command", "unknown flag", "unknown shorthand", "accepts ", "requires ", "required flag", "invalid argument", "flag needs"} {
		if strings.HasPrefix(err.Error(), begin) {
			return true
		}
	}
	return false
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "tackline",
		Short: "Plans and runs a plant that builds heavy attachments to order",
		Long: `Tackline turns orders into exact parts and steps, plans every station against real
capacity, and says when each unit ships and why.

Exit codes: 0 done; 1 the answer is no (faults in the input, a plan that breaks a
rule); 2 the command was wrong; 3 a defect of the program.`,
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.CompletionOptions.HiddenDefaultCmd = true
	root.AddCommand(a.serveCommand(), a.demoCommand(), a.importCommand(), a.planCommand(), a.verifyCommand(), a.exportCommand(),
		a.templateCommand(), a.userCommand(), a.rebuildCommand(), a.benchCommand(), a.versionCommand())
	return root
}

func (a *app) versionCommand() *cobra.Command {
	return &cobra.Command{Use: "version", Short: "Print the version", Example: "  tackline version", Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			_, err := fmt.Fprintln(a.out, "tackline", Version)
			return err
		}}
}
