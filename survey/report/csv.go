package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/survey"
)

// List names a list that a spreadsheet takes.
type List string

// The lists: the material to order, every piece in the order of cutting, every notch.
const (
	ListTakeoff List = "takeoff"
	ListCutting List = "cutting"
	ListNotches List = "notches"
)

// WriteCSV writes a list of a survey's ceiling as CSV (RFC 4180) in UTF-8 with a row of heads. Lengths stand twice: in decimal inches for a formula, and as a tape
// shows them for a person, the exact ones rounded as everywhere else. A text that a spreadsheet would take for a formula gets an apostrophe before it. Without a
// plan there are only the heads; an unknown list is NotFound.
func WriteCSV(w io.Writer, list List, r survey.Record, c survey.Ceiling) error {
	write, ok := map[List]func(survey.Record, survey.Ceiling) [][]string{ListTakeoff: takeoffRows, ListCutting: cuttingRows, ListNotches: notchRows}[list]
	if !ok {
		return survey.Errorf(survey.NotFound, "There is no such list.")
	}
	out := csv.NewWriter(w)
	out.UseCRLF = true
	for _, row := range write(r, c) {
		for i := range row {
			row[i] = inert(row[i])
		}
		if err := out.Write(row); err != nil {
			return fmt.Errorf("write list: %w", err)
		}
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("write list: %w", err)
	}
	return nil
}

// inert keeps a text from being run as a formula (OWASP, "CSV Injection"): one that begins as a formula does gets an apostrophe before it, unless it is a number.
func inert(text string) string {
	if text == "" || !strings.ContainsRune("=+-@\t\r\n\x00|%", rune(text[0])) {
		return text
	}
	if _, err := strconv.ParseFloat(text, 64); err == nil {
		return text
	}
	return "'" + text
}

func takeoffRows(_ survey.Record, c survey.Ceiling) [][]string {
	rows := [][]string{{"Item", "Need", "Unit", "Allowance %", "Buy", "Pack", "Stock length in", "Price", "From"}}
	if c.Plan == nil {
		return rows
	}
	for _, it := range c.Plan.Takeoff {
		buy, price, stock := "", "", ""
		if it.Packs != nil {
			buy = itoa(*it.Packs)
		}
		if it.Cents != nil {
			price = strconv.FormatFloat(float64(*it.Cents)/100, 'f', 2, 64)
		}
		if it.Length > 0 {
			stock = inches(it.Length)
		}
		label := it.Label
		if label == "" {
			label = strings.ReplaceAll(it.Item, "-", " ")
		}
		rows = append(rows, []string{label, decimalText(it.Need), it.Unit, decimalText(it.Waste * 100), buy, it.Pack, stock, price, it.From})
	}
	return rows
}

func cuttingRows(_ survey.Record, c survey.Ceiling) [][]string {
	rows := [][]string{{"Material", "Stick", "Stock length in", "Stock length", "Cut", "Piece in", "Piece", "Offcut in"}}
	if c.Plan == nil {
		return rows
	}
	for _, p := range c.Plan.Cutting {
		for i, stick := range p.Stock {
			for n, cut := range stick.Cuts {
				rows = append(rows, []string{p.Material, itoa(i + 1), inches(stick.Length), tape(stick.Length), itoa(n + 1), inches(cut), tape(cut), inches(stick.Offcut)})
			}
		}
		for _, piece := range p.Unplanned {
			rows = append(rows, []string{p.Material, "longer than all stock", "", "", "", inches(piece), tape(piece), ""})
		}
	}
	return rows
}

func notchRows(r survey.Record, c survey.Ceiling) [][]string {
	rows := [][]string{{"Zone", "Carrier", "Under", "Pin", "From in", "From", "To in", "To", "Depth in", "Depth", "Chance %", "State"}}
	if c.Plan == nil {
		return rows
	}
	named := thingsOf(r, c.Assembly, Links{})
	for _, z := range c.Plan.Zones {
		for _, n := range z.Notches {
			rows = append(rows, notchRow(z, n, named.find(n.Obstruction)))
		}
	}
	return rows
}

func notchRow(z calc.Zone, n calc.Notch, under Thing) []string {
	pin := ""
	if under.Source.PinNumber > 0 {
		pin = itoa(under.Source.PinNumber)
	}
	return []string{zoneName(z.ID), itoa(n.Carrier), under.Label, pin, inches(n.From), n.FromText, inches(n.To), n.ToText, inches(n.Depth), n.DepthText,
		decimalText(n.Probability * 100), n.State}
}

// inches are decimal inches, to a ten-thousandth.
func inches(v float64) string { return decimalText(v) }

// decimalText is a number with at most four places, without a thousands' sign.
func decimalText(v float64) string {
	return strconv.FormatFloat(math.Round(v*1e4)/1e4, 'f', -1, 64)
}

// tape is a length as a tape shows it, to the nearest sixteenth.
func tape(v float64) string { return length.Inches(v).String() }
