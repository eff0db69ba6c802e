"""The phones' door as it really is: a second socket of the same program, heard at one address, closed again."""

import http.client
from contextlib import closing

import pytest

from stillroom.actions.house.phones import join_code, own_network_address
from stillroom.errors import BadEntry
from stillroom.web.phone_listener import listen, own_addresses
from tests.hostile.conftest import LAN, heard_here


def ask(door, path: str, **headers: str) -> tuple[int, str, str]:
    with closing(http.client.HTTPConnection(door.address, door.port, timeout=20)) as line:
        line.request("GET", path, headers={key.replace("_", "-"): value for key, value in headers.items()})
        answer = line.getresponse()
        return answer.status, answer.headers.get("set-cookie", ""), answer.read().decode()


def test_a_phone_joins_by_a_second_socket_and_is_out_when_it_is_closed(house):
    with heard_here(house.app, 18_017) as door:
        stranger = ask(door, "/bench")
        rebound = ask(door, "/bench", Host="evil.example")
        joined = ask(door, f"/join/{join_code(house.lab, LAN)}")
        cookie = joined[1].partition(";")[0]
        bench = ask(door, "/bench", Cookie=cookie)
        laptop_only = ask(door, "/laboratory/phones", Cookie=cookie)

    assert (stranger[0], "Scan the code" in stranger[2], "small house" in stranger[2]) == (403, True, False)
    assert rebound[0] == 403
    assert joined[0] == 200
    assert {"HttpOnly", "SameSite=strict"} <= {part.strip() for part in joined[1].split(";")}
    assert (bench[0], "small house" in bench[2]) == (200, True)
    assert laptop_only[0] == 403
    with pytest.raises(OSError, match="refused"):
        ask(door, "/bench", Cookie=cookie)


def test_a_code_that_does_not_hold_tells_a_stranger_nothing_of_the_house(house):
    answer = house.stranger().get("/join/2026-11-24.AAAAAAAAAAAAAAAAAAAAAA")

    assert answer.status_code == 403
    assert "A small house" not in answer.text
    assert "nav" not in answer.text


@pytest.mark.parametrize(
    "address", ["8.8.8.8", "0.0.0.0", "127.0.0.1", "224.0.0.251", "house.local", "192.168.1", "", "::1"]
)
def test_an_address_that_is_not_of_the_house_network_opens_nothing(address):
    with pytest.raises(BadEntry, match=r"four numbers|local network"):
        own_network_address(address)


def test_an_address_of_another_machine_opens_nothing(house):
    with pytest.raises(BadEntry, match="one of this machine"):
        listen(house.lab.folder, "10.255.255.254", 18_017)


def test_the_addresses_that_are_offered_are_of_networks_of_ones_own():
    for one in own_addresses():
        assert own_network_address(one) == one
