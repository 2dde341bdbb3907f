"""What the tables of the tally say is what the program's own memo says."""

from __future__ import annotations

from office.sites import Office

from cutmemo.memo.projection import Projection
from cutmemo.office.reading import open_office


def test_the_tally_says_what_the_memo_of_each_site_says(office: Office) -> None:
    maple, oak = office.site("maple"), office.site("oak")
    here = maple.desk()
    here.call("4 @ 36 2x6 header")
    here.call("92-5/8 stud")
    here.clear()
    there = oak.desk()
    there.call("6 2 1/4")
    for site in (maple, oak):
        done = site.exchange()
        assert done.equal
    office.tally()
    with open_office(office.address) as read:
        states = read.states()
        assert [each.name for each in read.sites()] == ["maple", "oak"]
        assert all(each.waiting == 0 for each in read.sites())
    for name, desk in (("maple", here), ("oak", there)):
        assert states[name].rows == desk.state.rows
        assert states[name].rack == desk.state.rack
        assert states[name].sums == desk.state.sums
    again = Projection(here.log)
    assert again.state.rows == states["maple"].rows
