package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tackline/demo"
	"tackline/flow"
	"tackline/plant"
	"tackline/web"
)

// serveFlags are the flags of serve and demo.
type serveFlags struct {
	data, addr string
	secure     bool
}

func (f *serveFlags) add(c *cobra.Command) {
	dataFlag(c, &f.data)
	c.Flags().StringVar(&f.addr, "addr", "127.0.0.1:8180", "address to serve on; port 0 takes a free one")
	c.Flags().BoolVar(&f.secure, "secure", false, "people reach it over https (behind a proxy): cookies are sent over https only")
}

func (a *app) serveCommand() *cobra.Command {
	var f serveFlags
	c := &cobra.Command{
		Use:   "serve",
		Short: "Serve the screens",
		Long: `Opens the database in the data folder, making it if there is none, and serves the screens
until it is stopped. The first start makes one administrator and prints the password once.
Other commands may be used on the same folder meanwhile; a second serve is refused.

Exit codes: 0 stopped by Ctrl-C or the system; 1 another serves this database; 2 the
address cannot be used; 3 a defect.`,
		Example: "  tackline serve\n  tackline serve --data /srv/tackline --addr :8180",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return a.serve(c.Context(), f, shopFile, flow.Options{}, nil, nil)
		},
	}
	f.add(c)
	return c
}

func (a *app) log() *slog.Logger {
	return slog.New(slog.NewTextHandler(a.err, &slog.HandlerOptions{Level: slog.LevelWarn}))
}

// serve opens the database file, readies it, and answers requests until ctx ends. The address is taken first: a program
// that cannot serve must not touch the database.
func (a *app) serve(ctx context.Context, f serveFlags, file string, o flow.Options, ready func(*flow.Shop) error, people []web.SignIn) error {
	listen, err := net.Listen("tcp", f.addr)
	if err != nil {
		return errUsage{fmt.Errorf("cannot serve on %s: %w\nStop the program that uses this address, or choose another: --addr 127.0.0.1:0 takes a free port", f.addr, err)}
	}
	defer listen.Close()
	shop, done, err := a.openShop(ctx, f.data, file, o)
	if err != nil {
		return err
	}
	defer done()
	if ready != nil {
		if err := ready(shop); err != nil {
			return err
		}
	}
	return a.answer(ctx, listen, shop, f, people)
}

// stopsWithin is how long requests under way may take after the program was told to stop.
const stopsWithin = 3 * time.Second

// answer answers requests until ctx ends, then lets those under way finish for a moment.
func (a *app) answer(ctx context.Context, listen net.Listener, shop *flow.Shop, f serveFlags, people []web.SignIn) error {
	site, err := web.New(shop, web.Options{Sessions: shop.Store().Sessions(shop.Clock), Secure: f.secure, Log: a.log(), Demo: people})
	if err != nil {
		return err
	}
	server := &http.Server{Handler: site, ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 2 * time.Minute, WriteTimeout: 2 * time.Minute,
		IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10, ErrorLog: slog.NewLogLogger(a.log().Handler(), slog.LevelWarn)}
	server.RegisterOnShutdown(site.EndStreams)
	a.warnOpen(listen.Addr(), f.secure, len(people) > 0)
	fmt.Fprintf(a.out, "serving at http://%s (stop with Ctrl-C)\n", listen.Addr())
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listen) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	closing, cancel := context.WithTimeout(context.WithoutCancel(ctx), stopsWithin)
	defer cancel()
	err = server.Shutdown(closing)
	if errors.Is(err, context.DeadlineExceeded) {
		err = server.Close() // what still runs is cut off
	}
	if err != nil {
		return err
	}
	fmt.Fprintln(a.out, "stopped")
	return nil
}

// warnOpen says what an address that other machines can reach means.
func (a *app) warnOpen(at net.Addr, secure, demo bool) {
	tcp, ok := at.(*net.TCPAddr)
	if !ok || tcp.IP.IsLoopback() {
		return
	}
	if demo {
		fmt.Fprintln(a.err, "caution: other machines can reach this demo, and its passwords are known to everybody")
	} else if !secure {
		fmt.Fprintln(a.err, "caution: other machines can reach this over plain http; passwords can be read on the way. Put a proxy with https before it, and use --secure")
	}
}

// demoFile is the demo's own database, beside the real one.
const demoFile = "demo.db"

// demoPassword is the same for every sign-in of the demo, which serves this machine only.
const demoPassword = "drawing-board"

func demoPeople() (users []flow.NewUser, shown []web.SignIn) {
	for _, role := range flow.Roles() {
		users = append(users, flow.NewUser{Name: role, Role: role, Password: demoPassword})
		shown = append(shown, web.SignIn{Name: role, Role: role, Password: demoPassword})
	}
	return users, shown
}

func (a *app) demoCommand() *cobra.Command {
	var f serveFlags
	var seed uint64
	var examples string
	var seconds float64
	c := &cobra.Command{
		Use:   "demo",
		Short: "Serve the demo plant",
		Long: `Makes the demo plant in a database of its own if there is none, plans it, adopts the plan,
and serves it with one sign-in for each role. A later start keeps the data.`,
		Example: "  tackline demo\n  tackline demo --addr 127.0.0.1:9000 --data /tmp/demo",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			if examples != "" {
				return a.writeExamples(examples, seed)
			}
			users, shown := demoPeople()
			ready := func(shop *flow.Shop) error {
				if err := a.makeDemo(c.Context(), shop, seed, seconds); err != nil {
					return err
				}
				fmt.Fprintf(a.out, "sign in as %s; password %s\n", strings.Join(flow.Roles(), ", "), demoPassword)
				return nil
			}
			return a.serve(c.Context(), f, demoFile, flow.Options{People: users}, ready, shown)
		},
	}
	f.add(c)
	c.Flags().Uint64Var(&seed, "seed", 14, "seed of the demo plant")
	c.Flags().Float64Var(&seconds, "seconds", 4, "wall time to improve the first plan")
	c.Flags().StringVar(&examples, "write-examples", "", "write the demo and the small plant as workbooks into this folder, and end")
	return c
}

// makeDemo fills an empty shop with the demo plant and an adopted plan.
func (a *app) makeDemo(ctx context.Context, shop *flow.Shop, seed uint64, seconds float64) error {
	plans, err := shop.Plans(ctx)
	if err != nil || len(plans) > 0 {
		return err
	}
	who := flow.Who{Name: "demo", Role: flow.Manager}
	_, revision, err := shop.Book(ctx)
	if err != nil {
		return err
	}
	if revision == 0 {
		fmt.Fprintln(a.out, "making the demo plant")
		b, err := demo.Plant(seed, plant.At(shop.Clock()))
		if err != nil {
			return err
		}
		if err := shop.ImportBook(ctx, who, b, nil); err != nil {
			return err
		}
	}
	fmt.Fprintln(a.out, "planning it")
	run, err := shop.StartPlan(ctx, who, flow.PlanRequest{Name: "first plan", Seconds: seconds, Seed: 1})
	if err != nil {
		return err
	}
	show := a.progress(false)
	for {
		p, err := shop.PlanRun(ctx, run)
		if err != nil {
			return err
		}
		show.step(p.Done, p.Text)
		if p.Over() {
			show.end()
			if p.State != flow.RunDone {
				return fmt.Errorf("the demo could not be planned: %s", p.Error)
			}
			return shop.Adopt(ctx, who, p.PlanID)
		}
		select {
		case <-time.After(100 * time.Millisecond):
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// exampleDay is the morning of the example workbooks, so that they are the same whenever they are written.
var exampleDay = time.Date(2026, 11, 25, 6, 0, 0, 0, time.UTC)

func (a *app) writeExamples(dir string, seed uint64) error {
	big, err := demo.Plant(seed, plant.At(exampleDay))
	if err != nil {
		return err
	}
	small, err := demo.Small(plant.At(exampleDay))
	if err != nil {
		return err
	}
	if err := writeBook(filepath.Join(dir, "demo.xlsx"), big); err != nil {
		return err
	}
	if err := writeBook(filepath.Join(dir, "small.xlsx"), small); err != nil {
		return err
	}
	fmt.Fprintln(a.out, "written to", dir)
	return nil
}

// line reads one line of a secret from in, without its end.
func line(in io.Reader) (string, error) {
	var out []byte
	one := make([]byte, 1)
	for {
		n, err := in.Read(one)
		if n == 1 && one[0] == '\n' || errors.Is(err, io.EOF) {
			return string(out), nil
		}
		if err != nil {
			return "", err
		}
		if n == 1 && one[0] != '\r' {
			out = append(out, one[0])
		}
	}
}
