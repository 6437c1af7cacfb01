package web

import (
	"database/sql"
	"fmt"
	"path/filepath"
	"strings"
)

// dump is everything that the database holds, read past the store: each table's rows as one text.
func (w *site) dump() map[string]string {
	w.t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(w.dir, "undercroft.db")+"?mode=ro")
	if err != nil {
		w.t.Fatal(err)
	}
	defer db.Close()
	tables := map[string]string{}
	for _, name := range w.texts(db, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name") {
		tables[name] = w.rows(db, name)
	}
	if len(tables) < 10 || !strings.Contains(tables["history"]+tables["survey"], "title") {
		w.t.Fatalf("this is not the database: %d tables", len(tables))
	}
	return tables
}

func (w *site) texts(db *sql.DB, query string) []string {
	w.t.Helper()
	rows, err := db.Query(query)
	if err != nil {
		w.t.Fatal(err)
	}
	defer rows.Close()
	var list []string
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			w.t.Fatal(err)
		}
		list = append(list, text)
	}
	if err := rows.Err(); err != nil {
		w.t.Fatal(err)
	}
	return list
}

// rows are the rows of a table, each with all of its columns.
func (w *site) rows(db *sql.DB, table string) string {
	w.t.Helper()
	rows, err := db.Query(fmt.Sprintf("SELECT * FROM %q", table))
	if err != nil {
		w.t.Fatal(err)
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		w.t.Fatal(err)
	}
	var out strings.Builder
	for rows.Next() {
		values := make([]any, len(columns))
		for i := range values {
			values[i] = new(any)
		}
		if err := rows.Scan(values...); err != nil {
			w.t.Fatal(err)
		}
		for i, v := range values {
			fmt.Fprintf(&out, "%s=%#v ", columns[i], *v.(*any))
		}
		out.WriteString("\n")
	}
	if err := rows.Err(); err != nil {
		w.t.Fatal(err)
	}
	return out.String()
}
