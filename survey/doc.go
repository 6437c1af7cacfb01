// Package survey is one site visit carried through to a plan: the site, its photos, the pins on them, the facts of the deck with
// their sources, and how these become the calculator's input. It holds the domain's types and rules; it knows nothing of SQL,
// HTTP or pages.
package survey
