package db

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"sync"
)

// batch is the most commands that share one commit. Enough that 64 learners
// at once are served by one; small enough that nobody waits for a crowd.
const batch = 128

// command is one write: it runs inside a savepoint of the writer's
// transaction, perhaps more than once when its batch has to be taken again
// alone.
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
		for len(waiting) < batch {
			select {
			case c := <-w.commands:
				waiting = append(waiting, c)
				continue
			default:
			}
			break
		}
		w.carryOut(waiting)
	}
}

// carryOut runs commands in one transaction and tells each how it went, after
// the commit.
func (w *writer) carryOut(commands []*command) {
	results := make([]error, len(commands))
	err := w.transaction(commands, results)
	for i, c := range commands {
		if results[i] == nil {
			results[i] = err
		}
		c.done <- results[i]
	}
}

func (w *writer) transaction(commands []*command, results []error) error {
	// A command's own context ends with its caller; the transaction must not.
	ctx := context.Background()
	tx, err := w.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }()
	for i, c := range commands {
		if len(commands) == 1 {
			results[i] = protect(ctx, tx, c)
			if results[i] != nil {
				return results[i] // rolled back as a whole
			}
			continue
		}
		if _, err := tx.ExecContext(ctx, "SAVEPOINT one"); err != nil {
			return err
		}
		results[i] = protect(ctx, tx, c)
		end := "RELEASE one"
		if results[i] != nil {
			end = "ROLLBACK TO one; RELEASE one"
		}
		if _, err := tx.ExecContext(ctx, end); err != nil {
			// SQLite has rolled the whole transaction back by itself, as it
			// does on a full disk: nobody's write is there.
			for j := range i {
				if results[j] == nil {
					results[j] = err
				}
			}
			return errors.Join(results[i], err)
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
