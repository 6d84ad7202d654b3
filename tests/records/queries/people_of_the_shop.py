"""Who looks in these tests: Ines of the shop, Orla the customer, Nils of another team."""

from records.queries.viewer import Viewer

INES = Viewer(person="P-01", roles=frozenset({"technician"}))
ORLA = Viewer(customer="C-01")
NILS = Viewer(customer="C-02")
