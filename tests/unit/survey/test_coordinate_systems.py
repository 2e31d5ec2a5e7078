from __future__ import annotations

import pytest
from pyproj import CRS

from planner.errors import GridTrouble
from planner.survey.coordinate_systems import grid_name, is_same, lonlat_datum, system, to_code, usable_as_grid

CODES = [7855, 28355, 2193, 27700, 2157, 6343, 32755, 5347, 2054, 28992, 2056, 7844, 4283, 4326, 4167, 7899, 3111, 8058,
         32614, 26914, 2277, 32040, 3793, 25832, 31287, 4269, 3857, 3308, 4202, 20255, 4258, 4148, 4277, 27200]


def transverse_mercator(datum: str, shift: str = "") -> str:
    """A .prj text for zone 55 on GRS80, with a datum of any name."""
    return (f'PROJCS["zone 55",GEOGCS["base",DATUM["{datum}",SPHEROID["GRS80",6378137,298.257222101]{shift}],'
            'PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],'
            'PARAMETER["latitude_of_origin",0],PARAMETER["central_meridian",147],PARAMETER["scale_factor",0.9996],'
            'PARAMETER["false_easting",500000],PARAMETER["false_northing",10000000],UNIT["metre",1]]')


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("form", ["WKT1_ESRI", "WKT1_GDAL", "WKT2_2019"])
def test_a_code_survives_the_forms_in_which_files_keep_it(code: int, form: str) -> None:
    text = CRS(code).to_wkt(form)
    assert to_code(text) == f"EPSG:{code}"
    assert to_code(CRS(text)) == f"EPSG:{code}"


@pytest.mark.parametrize(("given", "code"), [
    (7855, "EPSG:7855"), ("7855", "EPSG:7855"), (" EPSG:7855 ", "EPSG:7855"), ("epsg:7855", "EPSG:7855"),
    ("EPSG:7855+5711", "EPSG:7855"), ("EPSG:4979", "EPSG:4326"), ("OGC:CRS84", "OGC:CRS84"),
    ("ESRI:102562", "ESRI:102562")])
def test_codes(given: object, code: str) -> None:
    assert to_code(given) == code


@pytest.mark.parametrize("datum", [
    "unknown", "D_unknown", "Unknown based on GRS80 ellipsoid", "Not_specified_based_on_GRS_1980_ellipsoid", "unnamed"])
def test_an_unknown_datum_is_never_taken_for_gda2020(datum: str) -> None:
    """The library offers EPSG:7855 with 70 per cent confidence; it may as well be GDA94, 1.5 m away."""
    code = to_code(transverse_mercator(datum))
    assert code.startswith("PROJCRS[")
    assert "datum not stated" in grid_name(code)
    assert lonlat_datum(code) == "datum not stated"
    assert usable_as_grid(code) == ""
    assert not is_same(system(code), system("EPSG:7855"))


def test_a_projection_of_ones_own_on_a_stated_datum_keeps_its_text_and_names_the_datum() -> None:
    code = to_code(transverse_mercator("Geocentric_Datum_of_Australia_1994").replace("147]", "146.5]"))
    assert code.startswith("PROJCRS[")
    assert grid_name(code) == "zone 55 (datum GDA94)"
    assert usable_as_grid(code) == ""


def test_an_attached_null_shift_to_wgs84_does_not_hide_the_datum() -> None:
    """Old software writes TOWGS84[0,...] under GDA94; followed blindly, it loses the 1.5 m to GDA2020."""
    text = transverse_mercator("Geocentric_Datum_of_Australia_1994", ",TOWGS84[0,0,0,0,0,0,0]")
    assert to_code(text) == "EPSG:28355"


@pytest.mark.parametrize("rubbish", ["", "hello", "EPSG:99999", "EPSG:10641x", "PROJCS[", 3.5, None, object()])
def test_rubbish_is_refused_with_a_remedy(rubbish: object) -> None:
    with pytest.raises(GridTrouble, match=r"no coordinate system.*; say which with an EPSG code such as EPSG:7855"):
        to_code(rubbish)


def test_a_local_system_is_refused() -> None:
    with pytest.raises(GridTrouble, match="'site' is a local system without a place on the earth"):
        to_code('LOCAL_CS["site",UNIT["metre",1]]')


@pytest.mark.parametrize(("crs", "name", "datum"), [
    ("EPSG:7855", "GDA2020 / MGA zone 55", "GDA2020"), ("EPSG:28355", "GDA94 / MGA zone 55", "GDA94"),
    ("EPSG:2193", "NZGD2000 / New Zealand Transverse Mercator 2000", "NZGD2000"),
    ("EPSG:27700", "OSGB36 / British National Grid", "OSGB36"), ("EPSG:32735", "WGS 84 / UTM zone 35S", "WGS 84"),
    ("EPSG:4326", "WGS 84 longitude and latitude", "WGS 84")])
def test_names_carry_the_datum(crs: str, name: str, datum: str) -> None:
    assert grid_name(crs) == name
    assert lonlat_datum(crs) == datum


@pytest.mark.parametrize(("crs", "why"), [
    ("EPSG:4326", "counts in degrees"), ("EPSG:32040", "counts in US survey foot"), ("EPSG:3857", "stretches lengths"),
    ("ESRI:102100", "stretches lengths"), ("EPSG:3395", "stretches lengths"), ("EPSG:2053", "point south and west"),
    ("EPSG:32661", "point south and south"), ("EPSG:32761", "point north and north"),
    ("EPSG:3577", "does not keep angles"), ("EPSG:27572", "degrees from Greenwich"),
    ("EPSG:99999", "no coordinate system"), ("", "no coordinate system")])
def test_what_cannot_serve_as_a_working_grid_says_why(crs: str, why: str) -> None:
    assert why in usable_as_grid(crs)


@pytest.mark.parametrize("code", [7855, 28355, 2193, 3793, 27700, 2157, 6343, 32735, 5347, 7899, 3111, 3308, 28992,
                                  2056, 31467, 25832, 26914, 2180])
def test_what_can_serve(code: int) -> None:
    assert usable_as_grid(f"EPSG:{code}") == ""
