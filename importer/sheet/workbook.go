package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"

	"standin/importer/table"
)

// Workbook is an .xlsx file that is open: a zip of XML parts (ECMA-376). Its
// sheets are read a row at a time, and its parts within the limits of a zip.
type Workbook struct {
	parts    map[string]*zip.File // by their path in lower case, as parts are named
	Sheets   []Sheet
	from1904 bool    // days are counted from 1904, not 1900
	styles   []shown // how cells are shown, by the number of their style
	texts    *texts
}

// Sheet is one worksheet of a workbook.
type Sheet struct {
	book   *Workbook
	Name   string
	Hidden bool
	part   *zip.File
}

// openWorkbook reads the structure of a workbook, but not its cells.
func openWorkbook(in io.ReaderAt, size int64) (*Workbook, error) {
	archive, err := zip.NewReader(in, size)
	if err != nil {
		return nil, noWorkbook(in, size)
	}
	if len(archive.File) > table.MostEntries {
		return nil, table.Unreadable("the workbook has %d parts, more than any honest one (%d)", len(archive.File), table.MostEntries)
	}
	w := &Workbook{parts: map[string]*zip.File{}}
	for _, f := range archive.File {
		w.parts[strings.ToLower(table.Slashed(f.Name))] = f
	}
	if err := w.readSheets(); err != nil {
		return nil, err
	}
	if w.styles, err = w.readStyles(); err != nil {
		return nil, err
	}
	return w, nil
}

// noWorkbook returns the fault of a file that is not a zip.
func noWorkbook(in io.ReaderAt, size int64) *table.Fault {
	const mostSearched = 8 << 20
	head := make([]byte, min(size, mostSearched))
	n, _ := in.ReadAt(head, 0)
	switch head = head[:n]; {
	case !bytes.HasPrefix(head, []byte("\xd0\xcf\x11\xe0")): // a compound file ([MS-CFB] 2.2)
		return table.Unreadable("the file is no spreadsheet or is damaged; save it again as .xlsx")
	case bytes.Contains(head, []byte("E\x00n\x00c\x00r\x00y\x00p\x00t\x00e\x00d\x00P\x00a\x00c\x00k\x00a\x00g\x00e\x00")): // [MS-OFFCRYPTO] 2.3.4.4
		return table.Unreadable("the spreadsheet is locked with a password; save it without one")
	}
	return table.Unreadable("the file is an old spreadsheet; save it as .xlsx")
}

// readSheets finds the sheets in the order of their tabs.
func (w *Workbook) readSheets() error {
	main, err := w.mainPart()
	if err != nil {
		return err
	}
	var book struct {
		Settings struct {
			From1904 string `xml:"date1904,attr"`
		} `xml:"workbookPr"`
		Sheets []struct {
			Name  string     `xml:"name,attr"`
			State string     `xml:"state,attr"`
			Attrs []xml.Attr `xml:",any,attr"`
		} `xml:"sheets>sheet"`
	}
	if err := w.decode(main, &book); err != nil {
		return err
	}
	links, err := w.links(main)
	if err != nil {
		return err
	}
	w.from1904 = isTrue(book.Settings.From1904)
	for _, s := range book.Sheets {
		for _, a := range s.Attrs {
			to, known := links[a.Value]
			if a.Name.Local != "id" || !known || !strings.HasSuffix(to.kind, "/worksheet") { // a sheet that is a chart has no cells
				continue
			}
			part := w.parts[strings.ToLower(to.part)]
			if part == nil {
				return table.Unreadable("the workbook has lost its sheet %s; save it again", table.Quoted(s.Name))
			}
			w.Sheets = append(w.Sheets, Sheet{w, s.Name, s.State == "hidden" || s.State == "veryHidden", part})
		}
	}
	return nil
}

// mainPart is the path of the part that lists the sheets.
func (w *Workbook) mainPart() (string, error) {
	links, err := w.links("")
	if err != nil {
		return "", err
	}
	for _, l := range links {
		if strings.HasSuffix(l.kind, "/officeDocument") {
			return l.part, nil
		}
	}
	return "", table.Unreadable("the file is a zip, but no spreadsheet; save the table as .xlsx")
}

// link is where a relationship of a part leads.
type link struct{ kind, part string }

// links returns the relationships of a part by their id, those of the package for "".
func (w *Workbook) links(of string) (map[string]link, error) {
	dir, base := path.Split(of)
	var all struct {
		Links []struct {
			ID     string `xml:"Id,attr"`
			Kind   string `xml:"Type,attr"`
			Target string `xml:"Target,attr"`
			Mode   string `xml:"TargetMode,attr"`
		} `xml:"Relationship"`
	}
	name := dir + "_rels/" + base + ".rels"
	if w.parts[strings.ToLower(name)] == nil {
		return nil, nil
	}
	if err := w.decode(name, &all); err != nil {
		return nil, err
	}
	links := map[string]link{}
	for _, l := range all.Links {
		if l.Mode == "External" {
			continue
		}
		to := table.Slashed(l.Target)
		if !strings.HasPrefix(to, "/") {
			to = "/" + dir + to
		}
		links[l.ID] = link{l.Kind, strings.TrimPrefix(path.Clean(to), "/")}
	}
	return links, nil
}

// mostOfPart bounds the parts that are read into memory whole, none of which is a
// table.
const mostOfPart = 16 << 20

// decode reads a small part.
func (w *Workbook) decode(name string, into any) error {
	part := w.parts[strings.ToLower(name)]
	if part == nil {
		return table.Unreadable("the workbook lacks its part %s; save it again", table.Quoted(name))
	}
	in, err := table.Unpack(part)
	if err != nil {
		return err
	}
	defer in.Close()
	limited := &io.LimitedReader{R: in, N: mostOfPart}
	err = xml.NewDecoder(limited).Decode(into)
	var f *table.Fault
	switch {
	case limited.N <= 0:
		return table.Unreadable("the part %s of the workbook is larger than that of any honest one", table.Quoted(name))
	case errors.As(err, &f):
		return f
	case err != nil:
		return table.Unreadable("the workbook is damaged (%s); save it again", path.Base(name))
	}
	return nil
}

func isTrue(text string) bool { return text == "1" || strings.EqualFold(text, "true") }

// Open opens a workbook. The caller must close the Closer after use.
func Open(open func() (io.ReadCloser, error)) (*Workbook, io.Closer, error) {
	in, err := open()
	if err != nil {
		return nil, nil, err
	}
	whole, ok := in.(interface {
		io.ReaderAt
		Stat() (fs.FileInfo, error)
	})
	if !ok {
		in.Close()
		return nil, nil, table.Unreadable("it is a spreadsheet within a zip; unpack it first")
	}
	info, err := whole.Stat()
	if err != nil {
		in.Close()
		return nil, nil, err
	}
	book, err := openWorkbook(whole, info.Size())
	if err != nil {
		in.Close()
		return nil, nil, err
	}
	return book, in, nil
}

// place returns the column, from 0, and the row, from 1, of a reference such as AB12.
func place(reference string) (column, row int, ok bool) {
	at := strings.IndexAny(reference, "0123456789")
	if at < 1 {
		return 0, 0, false
	}
	if column = table.ColumnNamed(reference[:at]); column < 0 {
		return 0, 0, false
	}
	_, err := fmt.Sscanf(reference[at:], "%d", &row)
	return column, row, err == nil && row >= 1 && row <= table.MostRows
}
