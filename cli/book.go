package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"tackline/book"
	"tackline/exchange"
	"tackline/flow"
	"tackline/store"
)

// commandLine is who acts when a person runs a command beside the database.
var commandLine = flow.Who{Name: "command line", Role: flow.Manager}

func dataFlag(c *cobra.Command, data *string) {
	c.Flags().StringVar(data, "data", "data", "folder of the database")
}

// openShop opens the database of a folder, making both if missing. It prints the administrator of a first start, once:
// whatever comes of the command, the password is kept nowhere else.
func (a *app) openShop(ctx context.Context, data, file string, o flow.Options) (*flow.Shop, func(), error) {
	if strings.HasPrefix(data, "postgres://") || strings.HasPrefix(data, "postgresql://") {
		return nil, nil, errUsage{errors.New("--data: a PostgreSQL server is not supported yet, because planning in the background needs the database file; give a folder, such as --data /srv/tackline")}
	}
	o.Log = a.log()
	if err := os.MkdirAll(data, 0o700); err != nil {
		return nil, nil, fmt.Errorf("the data folder cannot be made: %w", err)
	}
	st, err := store.Open(ctx, filepath.Join(data, file))
	if err != nil {
		return nil, nil, err
	}
	shop, err := flow.Open(ctx, st, o)
	if err != nil {
		return nil, nil, errors.Join(err, st.Close())
	}
	if u, ok := shop.FirstSignIn(); ok {
		fmt.Fprintf(a.out, "first sign-in: name %s, password %s (shown once; you will be asked to change it)\n", u.Name, u.Password)
	}
	return shop, func() {
		if err := errors.Join(shop.Close(), st.Close()); err != nil {
			fmt.Fprintln(a.err, "closing the database:", err)
		}
	}, nil
}

// withShop does something with the database of a folder, beside a program that may be serving it.
func (a *app) withShop(c *cobra.Command, data string, do func(*flow.Shop) error) error {
	shop, done, err := a.openShop(c.Context(), data, shopFile, flow.Options{Beside: true})
	if err != nil {
		return err
	}
	defer done()
	return do(shop)
}

const shopFile = "tackline.db"

func (a *app) importCommand() *cobra.Command {
	var data string
	c := &cobra.Command{
		Use:   "import FILE|DIR",
		Short: "Take a workbook or a folder of CSV into the database",
		Long: `Reads a workbook or a folder of CSV and puts it in the place of the stored shop book.
Every fault is printed with sheet, row and column; if there is one, nothing is changed.

Exit codes: 0 taken in; 1 faults; 3 a defect.`,
		Example: "  tackline import my-plant.xlsx\n  tackline import my-plant/ --data /srv/tackline",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			b, origin, err := exchange.ReadBook(args[0])
			if err != nil {
				return err
			}
			return a.withShop(c, data, func(shop *flow.Shop) error {
				if err := shop.ImportBook(c.Context(), commandLine, b, origin); err != nil {
					return err
				}
				n := 0
				for _, t := range book.Tables() {
					n += t.Len(b)
				}
				fmt.Fprintf(a.out, "taken in: %d rows, %d orders\n", n, len(b.Orders))
				return nil
			})
		},
	}
	dataFlag(c, &data)
	return c
}

func (a *app) exportCommand() *cobra.Command {
	var data string
	c := &cobra.Command{
		Use:     "export FILE.xlsx|DIR",
		Short:   "Write the stored shop book as a workbook or a folder of CSV",
		Long:    "Writes the stored shop book. A name that ends in .xlsx becomes a workbook, any other a folder of CSV.",
		Example: "  tackline export shop-book.xlsx\n  tackline export shop-book/",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withShop(c, data, func(shop *flow.Shop) error {
				b, _, err := shop.Book(c.Context())
				if err != nil {
					return err
				}
				return writeBook(args[0], b)
			})
		},
	}
	dataFlag(c, &data)
	return c
}

// writeBook writes a workbook, or a folder of CSV if the name does not end in .xlsx.
func writeBook(to string, b *book.Book) error {
	if !strings.EqualFold(filepath.Ext(to), ".xlsx") {
		return exchange.WriteFolder(to, b)
	}
	return writeFile(to, func(f *os.File) error { return exchange.WriteWorkbook(f, b) })
}

// writeFile writes beside the file and puts it in its place only when it is whole.
func writeFile(to string, write func(*os.File) error) error {
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(to), ".tackline-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	if err := write(f); err != nil {
		f.Close()
		return err
	}
	if err := f.Chmod(0o644); err != nil {
		f.Close()
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), to)
}

func (a *app) templateCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "template FILE.xlsx",
		Short:   "Write an empty workbook with notes and examples on each sheet",
		Example: "  tackline template my-plant.xlsx",
		Args:    cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return writeFile(args[0], func(f *os.File) error { return exchange.WriteTemplate(f) })
		},
	}
}
