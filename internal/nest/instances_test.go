package nest

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// An instance is one published two-dimensional bin-packing problem.
type instance struct {
	name        string
	class, size int
	w, h        int64
	items       [][2]int64
}

// cuttingDir finds the open instances: CUBBY_CUTTING, or a folder beside the tree.
func cuttingDir() (dir string, demanded bool) {
	if d := os.Getenv("CUBBY_CUTTING"); d != "" {
		return d, true
	}
	return filepath.Join("..", "..", "..", "shared", "cutting"), false
}

func readInstances(t testing.TB) []instance {
	t.Helper()
	dir, demanded := cuttingDir()
	f, err := os.Open(filepath.Join(dir, "class.txt"))
	if err != nil {
		if demanded {
			t.Fatalf("CUBBY_CUTTING names a folder without readable instances: %v", err)
		}
		t.Skipf("the open instances are not here (set CUBBY_CUTTING to their folder): %v", err)
	}
	defer f.Close()
	var all []instance
	sc := bufio.NewScanner(f)
	for sc.Scan() {
		fields := strings.Split(strings.TrimSpace(sc.Text()), ";")
		if len(fields) < 3 {
			continue
		}
		in := instance{name: fields[0]}
		if _, err := fmt.Sscanf(fields[0], "CLASS%02d_%03d", &in.class, &in.size); err != nil {
			t.Fatalf("%q: %v", fields[0], err)
		}
		for i, f := range fields[1:] {
			a, b, _ := strings.Cut(f, " ")
			x, err1 := strconv.ParseInt(a, 10, 64)
			y, err2 := strconv.ParseInt(b, 10, 64)
			if err1 != nil || err2 != nil {
				t.Fatalf("%s: %q is not a size", in.name, f)
			}
			if i == 0 {
				in.w, in.h = x, y
			} else {
				in.items = append(in.items, [2]int64{x, y})
			}
		}
		all = append(all, in)
	}
	return all
}

func (in instance) problem(turn bool) *problem {
	p := &problem{unit: 1, types: []binType{{w: in.w, h: in.h, cost: 1, limit: unlimited}}}
	for _, i := range in.items {
		p.items = append(p.items, item{w: i[0], h: i[1], turn: turn, area: i[0] * i[1]})
	}
	return p
}

func TestTryInstances(t *testing.T) {
	all := readInstances(t)
	work := DefaultBudget
	if v := os.Getenv("WORK"); v != "" {
		work, _ = strconv.Atoi(v)
	}
	for _, turn := range []bool{false, true} {
		begin := time.Now()
		var lb, got [11]int
		for _, in := range all {
			sol := in.problem(turn).solve(work * len(in.items))
			lb[in.class] += sol.least
			got[in.class] += len(sol.bins)
		}
		a, b := 0, 0
		for i := range lb {
			a += lb[i]
			b += got[i]
		}
		t.Log(turn, lb, got, a, b, time.Since(begin))
	}
}
