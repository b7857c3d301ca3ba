// Whatran runs every case of package evaluation, and after each writes what it
// went through into a folder named by the number of the case, below the folder
// that its argument names. It must be built with -cover -covermode=atomic; the
// test of package evaluation builds, runs and reads it.
package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime/coverage"
	"strconv"

	"example.com/trialfit/internal/evaluation"
	"example.com/trialfit/internal/reference"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: whatran FOLDER")
		os.Exit(2)
	}
	if err := run(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "whatran:", err)
		os.Exit(1)
	}
}

func run(folder string) error {
	rows, err := reference.Rows()
	if err != nil {
		return err
	}
	for i, c := range evaluation.All() {
		if err := coverage.ClearCounters(); err != nil {
			return err
		}
		for _, r := range rows {
			if r.Quantity == c.Quantity && !evaluation.Evaluate(r).Pass {
				return fmt.Errorf("row %s fails", r.ID)
			}
		}
		dir := filepath.Join(folder, strconv.Itoa(i))
		if err := os.Mkdir(dir, 0o755); err != nil {
			return err
		}
		if err := errors.Join(coverage.WriteMetaDir(dir), coverage.WriteCountersDir(dir)); err != nil {
			return err
		}
	}
	return nil
}
