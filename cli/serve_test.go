package cli

import (
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"tackline/book/booktest"
	"tackline/flow"
)

// output is what a command printed so far.
type output struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.Write(p)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.String()
}

func TestServeOnABusyPort(t *testing.T) {
	listen, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer listen.Close()
	for _, command := range []string{"serve", "demo"} {
		data := filepath.Join(t.TempDir(), "data")
		var out, errs bytes.Buffer
		code := Main([]string{command, "--data", data, "--addr", listen.Addr().String()}, strings.NewReader(""), &out, &errs)
		if code != Usage || !strings.Contains(errs.String(), "Stop the program that uses this address") || !strings.Contains(errs.String(), "--addr") {
			t.Errorf("%s: exit code %d: %s", command, code, &errs)
		}
		if _, err := os.Stat(data); !os.IsNotExist(err) {
			t.Errorf("%s made a database though it cannot serve", command)
		}
	}
}

// A program told to stop ends soon, though a plan is under way and a browser holds a connection. The run says why it ended.
func TestServeStopsWhilePlanning(t *testing.T) {
	data := t.TempDir()
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	var run int64
	planning := make(chan struct{})
	ready := func(shop *flow.Shop) (err error) {
		if err = shop.ImportBook(ctx, commandLine, booktest.Large(60, 0), nil); err != nil {
			return err
		}
		if run, err = shop.StartPlan(ctx, commandLine, flow.PlanRequest{Seconds: 3600, Workers: 2}); err != nil {
			return err
		}
		for p := (flow.PlanProgress{}); err == nil && p.State != flow.RunRunning; time.Sleep(5 * time.Millisecond) {
			p, err = shop.PlanRun(ctx, run)
		}
		close(planning)
		return err
	}
	out, ended := &output{}, make(chan error, 1)
	a := &app{in: strings.NewReader(""), out: out, err: out}
	go func() {
		ended <- a.serve(ctx, serveFlags{data: data, addr: "127.0.0.1:0"}, shopFile, flow.Options{}, ready, nil)
	}()
	select {
	case <-planning:
	case err := <-ended:
		t.Fatalf("serve ended: %v\n%s", err, out)
	}
	for !strings.Contains(out.String(), "serving at ") {
		time.Sleep(5 * time.Millisecond)
	}
	_, address, _ := strings.Cut(out.String(), "serving at ")
	address, _, _ = strings.Cut(address, " ")
	res, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	io.Copy(io.Discard, res.Body)
	res.Body.Close()
	if res.StatusCode >= 500 {
		t.Errorf("GET / gives %s", res.Status)
	}
	stop()
	select {
	case err := <-ended:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(20 * time.Second): // a program that hangs
		t.Fatal("the program does not stop")
	}
	if !strings.HasSuffix(out.String(), "stopped\n") {
		t.Errorf("output: %s", out)
	}
	shop, done, err := a.openShop(context.Background(), data, shopFile, flow.Options{Beside: true})
	if err != nil {
		t.Fatal(err)
	}
	defer done()
	if p, err := shop.PlanRun(context.Background(), run); err != nil || p.State != flow.RunFailed || !strings.Contains(p.Error, "stopped") {
		t.Errorf("the run: %+v, %v", p, err)
	}
}

func TestCautionOnAnOpenAddress(t *testing.T) {
	for _, c := range []struct {
		ip           net.IP
		secure, demo bool
		says         string
	}{
		{net.IPv4(127, 0, 0, 1), false, true, ""},
		{net.IPv6loopback, false, false, ""},
		{net.IPv4zero, true, false, ""},
		{net.IPv4zero, false, false, "plain http"},
		{net.IPv6unspecified, false, false, "plain http"},
		{net.IPv4(192, 0, 2, 7), true, true, "passwords are known"},
	} {
		var errs bytes.Buffer
		(&app{err: &errs}).warnOpen(&net.TCPAddr{IP: c.ip}, c.secure, c.demo)
		if (c.says == "") != (errs.Len() == 0) || !strings.Contains(errs.String(), c.says) {
			t.Errorf("%v, secure %v, demo %v: %q", c.ip, c.secure, c.demo, &errs)
		}
	}
}
