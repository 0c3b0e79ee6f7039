package db

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"sync"
	"time"
)

// batch is the most commands that share one commit. Enough that 64 learners
// at once are served by one; small enough that nobody waits for a crowd.
const batch = 128

// gatherFor is how long a shared commit waits for company: about as long as the
// commit itself takes on a fast disk.
const gatherFor = 200 * time.Microsecond

// command is one write. It may run twice: once in a batch that is rolled back
// because of another, and once alone. So it sets its results afresh each time.
type command struct {
	run  func(ctx context.Context, tx *sql.Tx) error
	done chan error
}

// writer owns the one connection that writes.
type writer struct {
	path     string
	db       *sql.DB
	commands chan *command
	stop     chan struct{}
	stopped  chan struct{}
	once     sync.Once
}

func startWriter(ctx context.Context, path string, db *sql.DB) (*writer, error) {
	if err := db.PingContext(ctx); err != nil {
		return nil, err
	}
	w := &writer{path: path, db: db, commands: make(chan *command, 4*batch), stop: make(chan struct{}), stopped: make(chan struct{})}
	go w.loop()
	return w, nil
}

var errClosed = errors.New("db: the database is closed")

// do runs one write and returns when it is on disk. A context that ends while
// the command waits in the queue withdraws the caller, not the command: it may
// still be carried out, which a repeated submission then finds.
func (w *writer) do(ctx context.Context, run func(ctx context.Context, tx *sql.Tx) error) error {
	c := &command{run: run, done: make(chan error, 1)}
	select {
	case <-w.stop:
		return errClosed
	default:
	}
	select {
	case w.commands <- c:
	case <-w.stop:
		return errClosed
	case <-ctx.Done():
		return ctx.Err()
	}
	select {
	case err := <-c.done:
		return explain(w.path, err)
	case <-w.stopped:
		select {
		case err := <-c.done:
			return explain(w.path, err)
		default:
			return errClosed
		}
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (w *writer) close() error {
	w.once.Do(func() { close(w.stop) })
	<-w.stopped
	return w.db.Close()
}

func (w *writer) loop() {
	defer close(w.stopped)
	var waiting []*command
	crowded := false // the commit before was shared
	for {
		select {
		case c := <-w.commands:
			waiting = append(waiting[:0], c)
		case <-w.stop:
			// What was queued before the stop is still carried out.
			for {
				select {
				case c := <-w.commands:
					w.carryOut([]*command{c})
				default:
					return
				}
			}
		}
		waiting = w.gather(waiting, crowded)
		crowded = len(waiting) > 1
		w.carryOut(waiting)
	}
}

// gather adds the commands that wait already. In a crowd it gives the next ones
// a moment to arrive: they come back from the commit before, and one commit
// for many costs far less than many for a few. Who writes alone never waits.
func (w *writer) gather(waiting []*command, crowded bool) []*command {
	var moment <-chan time.Time
	if crowded {
		timer := time.NewTimer(gatherFor)
		defer timer.Stop()
		moment = timer.C
	}
	for len(waiting) < batch {
		select {
		case c := <-w.commands:
			waiting = append(waiting, c)
			continue
		default:
		}
		if moment == nil {
			break
		}
		select {
		case c := <-w.commands:
			waiting = append(waiting, c)
		case <-moment:
			moment = nil
		}
	}
	return waiting
}

// carryOut runs commands in one transaction and tells each how it went, after
// the commit. When one of several fails, all is rolled back and each is taken
// again alone, so that one that fails spoils no other.
func (w *writer) carryOut(commands []*command) {
	err := w.transaction(commands)
	if err == nil || len(commands) == 1 {
		for _, c := range commands {
			c.done <- err
		}
		return
	}
	for _, c := range commands {
		c.done <- w.transaction([]*command{c})
	}
}

// transaction runs commands and commits, or leaves nothing behind.
func (w *writer) transaction(commands []*command) error {
	// A command's own context ends with its caller; the transaction must not.
	ctx := context.Background()
	tx, err := w.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }()
	for _, c := range commands {
		if err := protect(ctx, tx, c); err != nil {
			return err
		}
	}
	return tx.Commit()
}

// protect keeps one command's panic from taking everybody's writes down.
func protect(ctx context.Context, tx *sql.Tx, c *command) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("db: a write panicked: %v", r)
		}
	}()
	return c.run(ctx, tx)
}
