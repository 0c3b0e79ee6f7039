package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"time"

	"github.com/adrg/xdg"
	"github.com/spf13/cobra"

	"loopwright/db"
	"loopwright/lessons"
	"loopwright/web"
)

// defaultListen is loopback: personal use without an account.
const defaultListen = "127.0.0.1:8017"

// program is the running site. Tests start it as main does, on a free port.
type program struct {
	listen   string
	database string
	log      *slog.Logger
	ready    func(address string) // told once the site answers; may be nil
}

// defaultDatabase is a file in the user's data folder.
func defaultDatabase() (string, error) { return xdg.DataFile("loopwright/loopwright.db") }

// serve runs the site until ctx ends, then finishes what is under way.
func (p *program) serve(ctx context.Context) error {
	if err := onlyLoopback(p.listen); err != nil {
		return err
	}
	course, err := lessons.Load()
	if err != nil {
		return err
	}
	store, err := db.Open(ctx, p.database)
	if err != nil {
		return err
	}
	handler, err := web.New(ctx, web.Config{Store: store, Course: course, Now: time.Now, Random: rand.Reader, Log: p.log})
	if err != nil {
		return errors.Join(err, store.Close())
	}
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", p.listen)
	if err != nil {
		return errors.Join(fmt.Errorf("cannot listen on %s; another program may use it, choose one with --listen: %w", p.listen, err), store.Close())
	}
	server := &http.Server{
		Handler:           handler,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       30 * time.Second,
		WriteTimeout:      30 * time.Second,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    32 << 10,
		ErrorLog:          slog.NewLogLogger(p.log.Handler(), slog.LevelWarn),
	}
	if p.ready != nil {
		p.ready("http://" + listener.Addr().String())
	}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	select {
	case err = <-failed:
	case <-ctx.Done():
		grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), 10*time.Second)
		defer cancel()
		err = server.Shutdown(grace)
	}
	if errors.Is(err, http.ErrServerClosed) {
		err = nil
	}
	return errors.Join(err, store.Close())
}

// onlyLoopback refuses other addresses: there are no accounts yet, so whoever
// reaches the site is its one learner.
func onlyLoopback(address string) error {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return badCall("--listen %q: write HOST:PORT, for example %s", address, defaultListen)
	}
	if ip := net.ParseIP(host); host == "localhost" || ip != nil && ip.IsLoopback() {
		return nil
	}
	return badCall("--listen %q: this version serves one person on this machine only; use a loopback address such as %s", address, defaultListen)
}

// databaseFlag registers --db.
func databaseFlag(c *cobra.Command, into *string) {
	c.Flags().StringVar(into, "db", "", "database file (default: loopwright/loopwright.db in your data folder)")
}

func databasePath(flag string) (string, error) {
	if flag != "" {
		return flag, nil
	}
	path, err := defaultDatabase()
	if err != nil {
		return "", fmt.Errorf("no data folder was found; name the database with --db: %w", err)
	}
	return path, nil
}

func logger(w io.Writer) *slog.Logger { return slog.New(slog.NewTextHandler(w, nil)) }

func serveCommand() *cobra.Command {
	p := &program{}
	c := &cobra.Command{
		Use: "serve", Short: "Serve the site on this machine (the default)", Args: noArguments,
		RunE: func(c *cobra.Command, _ []string) error {
			var err error
			if p.database, err = databasePath(p.database); err != nil {
				return err
			}
			p.log = logger(c.ErrOrStderr())
			p.ready = func(address string) {
				fmt.Fprintf(c.OutOrStdout(), "Loopwright is at %s\nDatabase: %s\nStop it with Ctrl-C.\n", address, p.database)
			}
			return p.serve(c.Context())
		},
	}
	c.Flags().StringVar(&p.listen, "listen", defaultListen, "address to listen on, HOST:PORT; loopback only")
	databaseFlag(c, &p.database)
	return c
}
