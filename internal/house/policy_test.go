package house

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// room turns "traplight/internal/num/kalman" into "num/kalman" and
// "traplight/cmd/traplight" into "cmd/traplight".
func room(importPath string) string {
	r := strings.TrimPrefix(importPath, "traplight/")
	return strings.TrimPrefix(r, "internal/")
}

func matches(pattern, name string) bool {
	if base, ok := strings.CutSuffix(pattern, "/..."); ok {
		return name == base || strings.HasPrefix(name, base+"/")
	}
	return pattern == name
}

func anyMatches(patterns []string, name string) bool {
	return slices.ContainsFunc(patterns, func(p string) bool { return matches(p, name) })
}

type policy struct {
	pattern []string
	floor   map[string]float64
	arrows  [][2]string
	only    map[string][]string
	from    map[string][]string
	modules map[string][]string
}

func parsePolicy(floors, walls, modules string) (policy, error) {
	p := policy{floor: map[string]float64{}, only: map[string][]string{}, from: map[string][]string{}, modules: map[string][]string{}}
	for _, line := range strings.Split(floors, "\n") {
		f := strings.Fields(line)
		switch {
		case len(f) == 0:
		case len(f) == 3 && f[1] == "->":
			p.arrows = append(p.arrows, [2]string{f[0], f[2]})
		default:
			n, err := strconv.ParseFloat(f[0], 64)
			if err != nil || len(f) < 2 {
				return p, fmt.Errorf("floors: %q", line)
			}
			for _, r := range f[1:] {
				p.pattern = append(p.pattern, r)
				p.floor[r] = n
			}
		}
	}
	for _, line := range strings.Split(walls, "\n") {
		f := strings.Fields(line)
		switch {
		case len(f) == 0:
		case len(f) >= 2 && f[1] == "only":
			p.only[f[0]] = f[2:]
		case len(f) >= 2 && f[1] == "from":
			p.from[f[0]] = f[2:]
		default:
			return p, fmt.Errorf("walls: %q", line)
		}
	}
	for _, line := range strings.Split(modules, "\n") {
		if f := strings.Fields(line); len(f) > 0 {
			p.modules[f[0]] = f[1:]
		}
	}
	return p, nil
}

func (p policy) patternOf(name string) string {
	for _, q := range p.pattern {
		if matches(q, name) {
			return q
		}
	}
	return ""
}

// complaint says why one import is not allowed, "" when it is.
func (p policy) complaint(user, used string) string {
	if only, ok := p.only[user]; ok && !anyMatches(only, used) {
		return fmt.Sprintf("%s may import only %v, not %s", user, only, used)
	}
	for walled, from := range p.from {
		if !matches(walled, used) {
			continue
		}
		if !anyMatches(from, user) && !matches(walled, user) {
			return fmt.Sprintf("%s may be imported only from %v, not from %s", used, from, user)
		}
		return ""
	}
	if _, ok := p.only[user]; ok {
		return ""
	}
	a, b := p.patternOf(user), p.patternOf(used)
	switch {
	case a == "":
		return fmt.Sprintf("%s stands on no floor: give it one in floors", user)
	case b == "":
		return fmt.Sprintf("%s stands on no floor: give it one in floors", used)
	case a == b && strings.HasSuffix(a, "/..."):
		return ""
	case p.floor[b] < p.floor[a]:
		return ""
	case slices.Contains(p.arrows, [2]string{a, b}):
		return ""
	}
	return fmt.Sprintf("%s (floor %v) may not import %s (floor %v)", user, p.floor[a], used, p.floor[b])
}

func (p policy) moduleComplaint(user, path string) string {
	for m, rooms := range p.modules {
		if path == m || strings.HasPrefix(path, m+"/") {
			if !anyMatches(rooms, user) {
				return fmt.Sprintf("%s may not import %s: it is for %v", user, path, rooms)
			}
			return ""
		}
	}
	return fmt.Sprintf("%s imports %s, which is not among the modules agreed on", user, path)
}

func isStandard(path string) bool {
	first, _, _ := strings.Cut(path, "/")
	return !strings.Contains(first, ".")
}
