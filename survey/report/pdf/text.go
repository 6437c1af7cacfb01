package pdf

import (
	"strings"

	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// face is how a text is set: size and distance of baselines in points, boldness and colour.
type face struct {
	size, lead float64
	bold       bool
	ink        draw.Color
}

// The colours of text: near black, soft for what explains, blue for what leads on; rules are lighter.
const (
	inkText draw.Color = 0xff17201b
	inkSoft draw.Color = 0xff48534d
	inkLink draw.Color = 0xff0f4c81
	inkEdge draw.Color = 0xff6b776f
	inkRule draw.Color = 0xffb4bdb6
)

// The faces, from the largest to the smallest.
var (
	faceTitle   = face{20, 25, true, inkText}
	faceSection = face{13, 17, true, inkText}
	facePart    = face{10.5, 14, true, inkText}
	faceLead    = face{11, 15.5, false, inkText}
	faceBody    = face{9.5, 13.5, false, inkText}
	faceTable   = face{9, 12, false, inkText}
	faceSmall   = face{8, 11, false, inkText}
	faceSoft    = face{8, 11, false, inkSoft}
	faceHead    = face{8, 11, true, inkSoft}
	faceFoot    = face{7, 9, false, inkSoft}
)

func (f face) soft() face { f.ink = inkSoft; return f }

// piece is a stretch of one line in one style.
type piece struct {
	s    string
	bold bool
	soft bool
	to   string
	w    float64
}

func (p piece) like(q piece) bool { return p.bold == q.bold && p.soft == q.soft && p.to == q.to }

// textLine is one line of text as it is set: its pieces from left to right, and their width.
type textLine struct {
	pieces []piece
	w      float64
	face   face
}

// setter breaks a line of spans into lines of a width.
type setter struct {
	face  face
	width float64
	lines []textLine
	line  []piece
	w     float64
	gap   *piece // the space before the next word
	word  []piece
	wordW float64
}

// set breaks a line into lines no wider than width, at spaces; its own line breaks are kept, and a word wider than a line is broken between letters. An empty line gives none.
func set(line document.Line, f face, width float64) []textLine {
	s := &setter{face: f, width: max(width, 2*f.size)}
	for _, span := range line {
		for i, row := range strings.Split(strings.ReplaceAll(span.Text, "\r\n", "\n"), "\n") {
			if i > 0 {
				s.endWord()
				s.endLine(true)
			}
			s.span(span, row)
		}
	}
	s.endWord()
	s.endLine(false)
	return s.lines
}

// plain is set for a text without spans.
func plain(text string, f face, width float64) []textLine {
	return set(document.Line{{Text: text}}, f, width)
}

func (s *setter) piece(span document.Span, text string) piece {
	bold := s.face.bold || span.Bold
	return piece{text, bold, span.Soft, span.To, draw.Measure(text, s.face.size, bold)}
}

func (s *setter) span(span document.Span, row string) {
	for i, word := range strings.Split(draw.Clean(row), " ") {
		if i > 0 {
			s.endWord()
			space := s.piece(span, " ")
			s.gap = &space
		}
		if word != "" {
			p := s.piece(span, word)
			s.word, s.wordW = append(s.word, p), s.wordW+p.w
		}
	}
}

// endWord puts the word on the line, on a new one where it does not fit, on several where it fits on none.
func (s *setter) endWord() {
	if len(s.word) == 0 {
		return
	}
	gap := 0.0
	if s.gap != nil && len(s.line) > 0 {
		gap = s.gap.w
	}
	if len(s.line) > 0 && s.w+gap+s.wordW > s.width+1e-6 {
		s.endLine(false)
		gap = 0
	}
	if gap > 0 {
		s.put(*s.gap)
	}
	s.gap = nil
	for _, p := range s.word {
		s.fit(p)
	}
	s.word, s.wordW = nil, 0
}

// fit puts a piece of a word on the line, broken between letters where it is too wide.
func (s *setter) fit(p piece) {
	for s.w+p.w > s.width+1e-6 {
		runes, n, w := []rune(p.s), 0, 0.0
		for n < len(runes) {
			next := draw.Measure(string(runes[n]), s.face.size, p.bold)
			if s.w+w+next > s.width {
				break
			}
			n, w = n+1, w+next
		}
		if n == 0 && len(s.line) > 0 {
			s.endLine(false)
			continue
		}
		n = max(n, 1)
		if n == len(runes) {
			break
		}
		head := p
		head.s, head.w = string(runes[:n]), w
		s.put(head)
		s.endLine(false)
		p.s = string(runes[n:])
		p.w = draw.Measure(p.s, s.face.size, p.bold)
	}
	s.put(p)
}

// put appends a piece, joined to the last one where both are alike.
func (s *setter) put(p piece) {
	s.w += p.w
	if n := len(s.line); n > 0 && s.line[n-1].like(p) {
		s.line[n-1].s += p.s
		s.line[n-1].w += p.w
		return
	}
	s.line = append(s.line, p)
}

// endLine ends a line; an empty one counts only where the text itself breaks.
func (s *setter) endLine(own bool) {
	if len(s.line) > 0 || own {
		s.lines = append(s.lines, textLine{s.line, s.w, s.face})
	}
	s.line, s.w, s.gap = nil, 0, nil
}

// widestWord is the width of the widest word of a line.
func widestWord(line document.Line, f face) float64 {
	widest, run := 0.0, 0.0
	for _, span := range line {
		for i, word := range strings.FieldsFunc(draw.Clean(span.Text)+"\x00", func(r rune) bool { return r == ' ' }) {
			if i > 0 || strings.HasPrefix(span.Text, " ") {
				run = 0
			}
			run += draw.Measure(strings.TrimSuffix(word, "\x00"), f.size, f.bold || span.Bold)
			widest = max(widest, run)
		}
	}
	return widest
}

// heightOf is the height of lines set below each other.
func heightOf(lines []textLine) float64 {
	h := 0.0
	for _, l := range lines {
		h += l.face.lead
	}
	return h
}
