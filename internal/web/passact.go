package web

import (
	"net/http"
	"net/url"
	"strings"
)

// inspect writes down what was looked at and found.
func (s *Server) inspect(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 64<<10)
	p, err := s.shop.st.FindOne(r.Context(), r.PathValue("name"))
	if err != nil {
		return err
	}
	found := strings.TrimSpace(r.PostFormValue("found"))
	if found == "" {
		return wrong("an inspection needs what was looked at and found, such as \"plugs read, oil filter cut open: clean\"")
	}
	if err := s.shop.st.RecordInspection(r.Context(), p.Name, found, strings.TrimSpace(r.PostFormValue("by"))); err != nil {
		return err
	}
	if wantsJSON(r) {
		return s.apiInspections(w, r)
	}
	back := "/passes/" + url.PathEscape(p.Name) + "#fit"
	if b := r.PostFormValue("back"); strings.HasPrefix(b, "/cars/") && !strings.ContainsAny(b, "\\\r\n") {
		back = b
	}
	http.Redirect(w, r, back, http.StatusSeeOther)
	return nil
}

func (s *Server) remove(w http.ResponseWriter, r *http.Request) error {
	p, err := s.shop.st.FindOne(r.Context(), r.PathValue("name"))
	if err != nil {
		return err
	}
	if err := s.shop.st.Remove(r.Context(), p.Name); err != nil {
		return err
	}
	if wantsJSON(r) {
		return writeJSON(w, r, http.StatusOK, p)
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}
