package gallery

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"sandarac/archive/consent"
	"sandarac/archive/picture"
	"sandarac/archive/seal"
	"sandarac/archive/swap"
)

// maxList bounds a list read back from an earlier site, in bytes.
const maxList = 16 << 20

// Sealed is what sealing came to.
type Sealed struct {
	Galleries int
	Files     int      // sealed files, lists included
	Kept      int      // of them, taken over from the earlier site unchanged
	Left      []string // ids of plates left out because a picture of theirs is missing
}

// Seal makes the folder of each gallery in the finished tree at out, from the
// page that Hugo rendered there, and takes that page away. earlier is the site
// that out will replace, or empty: pictures that are sealed there already are
// linked, not sealed again.
func Seal(ctx context.Context, out, earlier string, galleries []consent.Gallery, sets []picture.Set, secret seal.Secret) (Sealed, error) {
	rendered := filepath.Join(out, filepath.FromSlash(pageFolder))
	html, err := os.ReadFile(filepath.Join(rendered, "index.html"))
	if err != nil {
		return Sealed{}, fmt.Errorf("sealing galleries: the gallery page was not rendered: %w", err)
	}
	var done Sealed
	files := index(sets)
	for _, g := range galleries {
		if err := ctx.Err(); err != nil {
			return done, err
		}
		s, err := newSealer(g, files, secret, out, earlier)
		if err != nil {
			return done, fmt.Errorf("sealing the gallery of client %s: %w", g.ClientID, err)
		}
		if err := s.all(ctx, html); err != nil {
			return done, fmt.Errorf("sealing the gallery of client %s: %w", g.ClientID, err)
		}
		done.Files += s.files
		done.Kept += s.kept
		done.Left = append(done.Left, s.left...)
		if s.files > 0 {
			done.Galleries++
		}
	}
	if err := os.RemoveAll(rendered); err != nil {
		return done, fmt.Errorf("removing the page for all galleries: %w", err)
	}
	return done, removeEmpty(filepath.Dir(rendered))
}

func removeEmpty(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) > 0 {
		return err
	}
	return os.Remove(dir)
}

// sealer seals one gallery.
type sealer struct {
	g       consent.Gallery
	open    seal.Gallery // by the link's key alone
	keys    seal.Gallery // with the passphrase, if there is one
	from    pictures
	folder  string
	earlier string          // the same folder in the earlier site, or empty
	known   map[string]file // files of the earlier site, by name
	zone    *time.Location
	list    list
	names   saveNames

	files, kept int
	left        []string
}

func newSealer(g consent.Gallery, files pictures, secret seal.Secret, out, earlier string) (*sealer, error) {
	open, err := seal.NewGallery(secret, g.ClientID, g.Generation)
	if err != nil {
		return nil, err
	}
	s := &sealer{g: g, open: open, keys: open, from: files, folder: filepath.Join(out, Folder, open.Name()), names: saveNames{},
		zone: cmp.Or(g.Zone, time.UTC), list: newList(g, open), known: map[string]file{}}
	if g.PassphraseRequired {
		passphrase, err := seal.Passphrase(secret, g.ClientID, g.Generation)
		if err != nil {
			return nil, err
		}
		if s.keys, err = open.Locked(passphrase); err != nil {
			return nil, err
		}
	}
	if earlier != "" {
		s.earlier = filepath.Join(earlier, Folder, open.Name())
		s.remember()
	}
	return s, nil
}

// remember reads which files the earlier site has. Whatever cannot be read or
// opened there is simply sealed again.
func (s *sealer) remember() {
	l, err := s.readList(listName, s.open)
	if err == nil && l.Locked != nil {
		l, err = s.readList(l.Locked.List, s.keys)
	}
	if err != nil {
		return
	}
	for _, f := range l.Files {
		s.known[f.Name] = f
	}
}

func (s *sealer) readList(name string, keys seal.Gallery) (l list, err error) {
	f, err := os.Open(filepath.Join(s.earlier, filepath.Base(name)))
	if err != nil {
		return l, err
	}
	defer f.Close()
	body, err := keys.Open(f, name, maxList)
	if err != nil {
		return l, err
	}
	return l, json.Unmarshal(body, &l)
}

// all makes the gallery's folder. No plates, no folder.
func (s *sealer) all(ctx context.Context, html []byte) error {
	if s.g.State != "open" {
		return nil
	}
	for _, p := range s.g.Plates {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := s.plate(p); err != nil {
			return fmt.Errorf("plate %s: %w", p.ID, err)
		}
	}
	if len(s.list.Plates) == 0 {
		return nil
	}
	s.list.Care = careOf(s.g, s.list.Plates)
	slices.SortFunc(s.list.Files, func(a, b file) int { return cmp.Compare(a.Name, b.Name) })
	if err := s.sealList(); err != nil {
		return err
	}
	return create(filepath.Join(s.folder, "index.html"), func(w io.Writer) error {
		_, err := w.Write(html)
		return err
	})
}

// plate adds a plate whose pictures are all there, and seals them.
func (s *sealer) plate(p consent.GalleryPlate) error {
	var views [][]picture.File
	for _, master := range p.Masters {
		files := s.from.of(s.g, master)
		if len(files) == 0 {
			s.left = append(s.left, p.ID)
			return nil
		}
		views = append(views, files)
	}
	if len(views) == 0 {
		s.left = append(s.left, p.ID)
		return nil
	}
	out := newPlate(p, views[0][0], s.zone)
	for _, files := range views {
		v, err := s.view(p.ID, files)
		if err != nil {
			return err
		}
		out.Views = append(out.Views, v)
	}
	s.list.Plates = append(s.list.Plates, out)
	s.list.ContentsOf = newest(s.list.ContentsOf, p, s.zone)
	return nil
}

// view seals the pictures of one scan.
func (s *sealer) view(id string, files []picture.File) (view, error) {
	var v view
	for _, f := range files {
		name := s.keys.FileName(fmt.Sprintf("picture %s %d", id, f.Width), f.SHA256)
		if err := s.picture(name, f); err != nil {
			return v, err
		}
		v.Pictures = append(v.Pictures, sized{name, f.Width, f.Height})
	}
	largest := v.Pictures[len(v.Pictures)-1]
	v.Download = download{largest, s.names.take(saveName(id, "plate")) + ".jpg"}
	return v, nil
}

// picture seals one file, or takes it over from the earlier site: names follow
// content, so the same name there is the same file.
func (s *sealer) picture(name string, f picture.File) error {
	if slices.ContainsFunc(s.list.Files, func(g file) bool { return g.Name == name }) {
		return nil
	}
	if old, ok := s.known[name]; ok && old.Length == seal.Hidden(f.Bytes).SealedLength(seal.RecordSize, 0) {
		path := filepath.Join(s.earlier, name)
		if info, err := os.Lstat(path); err == nil && info.Mode().IsRegular() && info.Size() == old.Length {
			if err := os.MkdirAll(s.folder, 0o755); err != nil {
				return err
			}
			s.list.Files = append(s.list.Files, old)
			s.files++
			s.kept++
			return swap.Place(path, filepath.Join(s.folder, name))
		}
	}
	src, err := os.Open(f.Path)
	if err != nil {
		return fmt.Errorf("reading a picture: %w", err)
	}
	defer src.Close()
	sealed, err := s.seal(s.keys, name, src)
	s.list.Files = append(s.list.Files, sealed)
	return err
}

// sealList seals the list, and for a locked gallery the list before it.
func (s *sealer) sealList() error {
	if !s.g.PassphraseRequired {
		_, err := s.sealJSON(s.open, listName, s.list)
		return err
	}
	body, err := json.Marshal(s.list)
	if err != nil {
		return fmt.Errorf("writing the list: %w", err)
	}
	inner, err := s.sealJSON(s.keys, s.keys.FileName("list", sha256.Sum256(body)), s.list)
	if err != nil {
		return err
	}
	_, err = s.sealJSON(s.open, listName, outerList(s.g, s.open, inner))
	return err
}

func (s *sealer) sealJSON(keys seal.Gallery, name string, l list) (file, error) {
	body, err := json.Marshal(l)
	if err != nil {
		return file{}, fmt.Errorf("writing the list: %w", err)
	}
	return s.seal(keys, name, bytes.NewReader(body))
}

func (s *sealer) seal(keys seal.Gallery, name string, src io.ReadSeeker) (file, error) {
	var told seal.Sealed
	err := create(filepath.Join(s.folder, name), func(w io.Writer) (err error) {
		told, err = keys.Seal(w, name, src)
		return err
	})
	s.files++
	return file(told), err
}

// create writes a new file; the tree is fresh, so one that is there already is
// a mistake of ours.
func create(path string, fill func(io.Writer) error) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already: two galleries, or two files of one, share a name", path)
	}
	if err != nil {
		return err
	}
	return errors.Join(fill(f), f.Close())
}
