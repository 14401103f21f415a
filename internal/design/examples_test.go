package design_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cubby/internal/design"
	"cubby/internal/job"
)

// BenchmarkExamples designs each example job, whole.
func BenchmarkExamples(b *testing.B) {
	files, err := filepath.Glob("../../examples/*.yaml")
	if err != nil {
		b.Fatal(err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			b.Fatal(err)
		}
		req, err := job.Parse(file, data, func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(filepath.Dir(file), name)) })
		if err != nil {
			continue // it is for another command
		}
		b.Run(strings.TrimSuffix(filepath.Base(file), ".yaml"), func(b *testing.B) {
			for b.Loop() {
				if _, err := design.Run(context.Background(), *req); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
