package report

import "undercroft/survey"

// texts compares what is written about the site.
func (d *differ) texts() {
	was, now := d.old.Site, d.record.Survey
	for _, t := range [][3]string{
		{d.in("House"), was.Title, now.Title}, {d.in("Address"), was.Address, now.Address}, {d.in("Client"), was.Client, now.Client}, {d.in("Contact"), was.Contact, now.Contact},
		{d.in("Surveyed by"), was.Surveyor, now.Surveyor}, {d.in("Visited"), was.VisitDate, now.VisitDate}, {d.in("Access"), was.Access, now.Access}, {d.in("Notes"), was.Notes, now.Notes},
	} {
		d.add(t[0], t[1], t[2])
	}
}

// company compares the contractor's own texts; long ones are only said to have changed.
func (d *differ) company(was, now survey.Company) {
	days := func(n int) string {
		if n == 0 {
			return ""
		}
		return d.count(n, "day", "days")
	}
	d.add(d.in("The price holds for"), days(was.ValidDays), days(now.ValidDays))
	for _, t := range [][3]string{
		{d.in("Contractor"), was.Name, now.Name}, {d.in("Address of the contractor"), was.Address, now.Address}, {d.in("Telephone of the contractor"), was.Phone, now.Phone},
		{d.in("Licence"), was.License, now.License},
	} {
		d.add(t[0], t[1], t[2])
	}
	for _, t := range [][3]string{{d.in("Terms"), was.Terms, now.Terms}, {d.in("How to cancel"), was.Cancellation, now.Cancellation}, {d.in("Care of the ceiling"), was.Care, now.Care}} {
		if t[1] != t[2] {
			d.add(t[0], "", d.in("reads differently now"))
		}
	}
}
