package main

import (
	"context"
	"fmt"
	"os"
	"time"

	"undercroft/survey/store"
)

// withStore opens the data folder for one command and closes it afterwards. A folder that is not there is an error, and is not made.
func withStore(ctx context.Context, dir string, do func(*store.Store) error) (err error) {
	if _, err := os.Stat(dir); err != nil {
		return fmt.Errorf("there is no data folder %s: name it with -data", dir)
	}
	s, err := store.Open(ctx, store.Config{Dir: dir, Now: time.Now})
	if err != nil {
		return err // it names the folder and what is wrong with it
	}
	defer func() {
		if closed := s.Close(); err == nil && closed != nil {
			err = fmt.Errorf("close the data folder: %w", closed)
		}
	}()
	return do(s)
}
