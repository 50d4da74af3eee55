package cli

import (
	"context"
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
	c.Flags().StringVar(data, "data", "data", "folder of the database, or a postgres:// address")
}

// openShop opens the database of a folder, making both if missing.
func openShop(ctx context.Context, data, file string, o flow.Options) (*flow.Shop, func(), error) {
	place := data
	if !strings.HasPrefix(data, "postgres://") {
		if err := os.MkdirAll(data, 0o755); err != nil {
			return nil, nil, err
		}
		place = filepath.Join(data, file)
	}
	st, err := store.Open(ctx, place)
	if err != nil {
		return nil, nil, err
	}
	shop, err := flow.Open(ctx, st, o)
	if err != nil {
		st.Close()
		return nil, nil, err
	}
	return shop, func() { shop.Close(); st.Close() }, nil
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
			shop, done, err := openShop(c.Context(), data, shopFile, flow.Options{})
			if err != nil {
				return err
			}
			defer done()
			if err := shop.ImportBook(c.Context(), commandLine, b, origin); err != nil {
				return err
			}
			a.tellFirst(shop)
			n := 0
			for _, t := range book.Tables() {
				n += t.Len(b)
			}
			fmt.Fprintf(a.out, "taken in: %d rows, %d orders\n", n, len(b.Orders))
			return nil
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
			shop, done, err := openShop(c.Context(), data, shopFile, flow.Options{})
			if err != nil {
				return err
			}
			defer done()
			b, _, err := shop.Book(c.Context())
			if err != nil {
				return err
			}
			a.tellFirst(shop)
			return writeBook(args[0], b)
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
