package car

import (
	"path"
	"strings"
)

// baseName is the last element of a path written on any system, in lower case.
func baseName(file string) string {
	return strings.ToLower(path.Base(strings.ReplaceAll(file, `\`, "/")))
}

// packings are the endings that packing a log puts behind its own.
var packings = []string{".gz", ".gzip", ".zip"}

// unpackedName is baseName without the ending of a packed file, so that x.csv.gz is x.csv.
func unpackedName(file string) string {
	b := baseName(file)
	for _, ext := range packings {
		if s, ok := strings.CutSuffix(b, ext); ok && s != "" {
			return s
		}
	}
	return b
}

func stem(file string) string {
	b := unpackedName(file)
	return strings.TrimSuffix(b, path.Ext(b))
}

// Stem is the name by which notes and logs are held against each other when their
// endings differ, since notes may be older than a conversion or packing of the log:
// without folders, packing and ending, in lower case.
func Stem(file string) string { return stem(file) }

// commonTail counts how many folders two paths share, from the file upwards.
func commonTail(a, b string) int {
	x, y := folders(a), folders(b)
	n := 0
	for n < len(x) && n < len(y) && x[len(x)-1-n] == y[len(y)-1-n] {
		n++
	}
	return n
}

func folders(file string) []string {
	dir := path.Dir(path.Clean(strings.ToLower(strings.ReplaceAll(file, `\`, "/"))))
	if dir == "." {
		return nil
	}
	return strings.Split(strings.Trim(dir, "/"), "/")
}
