package job

import (
	"errors"
	"io/fs"
	"regexp"
	"strings"

	"cubby/internal/design"

	"gopkg.in/yaml.v3"
)

// drive begins a file name as it may be written on Windows.
var drive = regexp.MustCompile(`^[A-Za-z]:`)

// file reads the file that a node names; ok is false when it is at fault.
func (j *jobReader) fileOf(n *yaml.Node, path string) (name string, data []byte, ok bool) {
	if why := unprintable(n.Value, 1000); why != "" {
		j.fault(n, path, "not a file name: %s", why)
		return "", nil, false
	}
	if strings.Contains(n.Value, `\`) {
		j.fault(n, path, "write / between folders, on every system: %s", shown(strings.ReplaceAll(n.Value, `\`, "/")))
		return "", nil, false
	}
	if j.open == nil {
		j.fault(n, path, "this job cannot name other files")
		return "", nil, false
	}
	data, err := j.open(n.Value)
	if err != nil {
		want := "cannot be read: " + shown(reason(err))
		if drive.MatchString(n.Value) {
			want += "; a name with a drive letter holds on one machine only: put the file beside the job"
		} else if errors.Is(err, fs.ErrNotExist) {
			want += "; names count from the job's own folder"
		}
		j.fault(n, path, "%s", want)
		return "", nil, false
	}
	return n.Value, data, true
}

// reason is the innermost part of an error of opening a file; the name is in the message already.
func reason(err error) string {
	for {
		inner := errors.Unwrap(err)
		if inner == nil {
			return err.Error()
		}
		err = inner
	}
}

// measured reads the curve of a cabin from the file that n names.
func (j *jobReader) measured(n *yaml.Node, path string, v *design.Vehicle) {
	if !j.scalar(n, path, "the name of a file with frequency_hz,gain_db") {
		return
	}
	name, data, ok := j.fileOf(n, path)
	if !ok {
		return
	}
	points, faults := curve(name, data)
	v.Measured, v.Source = points, name
	j.others = append(j.others, faults...)
}
