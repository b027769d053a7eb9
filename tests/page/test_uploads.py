"""What is sent to the page: taken, refused, kept without where it was taken, deleted and brought back."""

import io
import json
from pathlib import Path

import pytest
from PIL import Image
from starlette.testclient import TestClient
from tests.page.conftest import ADDRESS

from whirlwise.cli.page import uploads
from whirlwise.cli.page.file_kinds import kind_of
from whirlwise.cli.page.media import keep_reading
from whirlwise.cli.page.state import State


def picture(kind: str = "JPEG") -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (64, 48), "tan").save(file, kind)
    return file.getvalue()


def send(browser: TestClient, content: bytes, name: str = "wheel.jpg") -> str:
    answer = browser.post("/uploads", params={"name": name}, content=content)
    assert answer.status_code == 201, answer.text
    return str(answer.json()["id"])


def test_a_picture_is_kept_as_it_came(browser: TestClient, state: State) -> None:
    medium = state.media.get(send(browser, picture()))
    assert medium is not None
    assert (medium.name, medium.kind) == ("wheel.jpg", "picture")
    assert medium.original.read_bytes() == picture()
    sent = browser.get(f"/media/{medium.id}/original")
    assert (sent.content, sent.headers["content-type"]) == (picture(), "image/jpeg")


def test_pictures_of_one_name_are_told_apart(browser: TestClient, state: State) -> None:
    """Phones may call all that they take the same; by its name one chooses the clip turned by hand."""
    first = send(browser, picture(), "image.jpg")
    send(browser, picture(), "image.jpg")
    assert browser.post(f"/media/{first}/delete").status_code == 204
    send(browser, picture(), "image.jpg")
    assert browser.post(f"/media/{first}/restore").status_code == 204
    assert sorted(each.name for each in state.media.all()) == ["image (2).jpg", "image (3).jpg", "image.jpg"]


def test_a_clip_is_sent_in_parts(browser: TestClient) -> None:
    """Browsers ask for parts of a clip (RFC 9110, 14.2), to show it from anywhere."""
    content = b"\0\0\0\x18ftypmp42" + bytes(range(200))
    medium = send(browser, content, "wheel.mp4")
    part = browser.get(f"/media/{medium}/original", headers={"Range": "bytes=10-19"})
    assert (part.status_code, part.content) == (206, content[10:20])


@pytest.mark.parametrize(
    "content",
    [b"<!DOCTYPE html><script>alert(1)</script>" * 4, b"%PDF-1.7" + bytes(100), b"MZ" + bytes(99), b"x"],
)
def test_what_is_no_picture_is_refused_whatever_its_name(browser: TestClient, content: bytes) -> None:
    answer = browser.post("/uploads", params={"name": "wheel.jpg"}, content=content)
    assert answer.status_code == 415
    assert "picture, clip or sound" in answer.json()["sentence"]


def test_an_empty_file_is_refused(browser: TestClient) -> None:
    assert browser.post("/uploads", params={"name": "wheel.jpg"}, content=b"").status_code == 400


def test_too_large_a_file_is_refused_while_it_comes(
    browser: TestClient, state: State, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(uploads.MOST_BYTES, "picture", 1000)
    answer = browser.post("/uploads", content=picture("JPEG") + bytes(5000))
    assert answer.status_code == 413
    assert list((state.folder / "arriving").iterdir()) == []
    assert state.media.all() == []


def test_a_full_disk_is_said(browser: TestClient, state: State, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(uploads, "LEFT_FREE", 10**18)
    answer = browser.post("/uploads", content=picture())
    assert answer.status_code == 507
    assert list((state.folder / "arriving").iterdir()) == []


@pytest.mark.parametrize(
    "name", ["../../../etc/cron.d/x", "/etc/passwd", "..\\..\\x.jpg", "a\0b", "%2e%2e%2fx"]
)
def test_a_name_is_never_a_path(browser: TestClient, state: State, name: str) -> None:
    before = {path for path in state.folder.parent.rglob("*") if not path.is_relative_to(state.folder)}
    medium = state.media.get(send(browser, picture(), name))
    assert medium is not None
    assert medium.original.parent.parent == state.folder / "media"
    assert "/" not in medium.name
    assert "\\" not in medium.name
    after = {path for path in state.folder.parent.rglob("*") if not path.is_relative_to(state.folder)}
    assert after == before


@pytest.mark.parametrize(
    "medium_id", ["..", "../..", "%2e%2e", "0123456789abcdef", "0123456789ABCDEF", "media"]
)
def test_an_id_that_is_none_finds_nothing(browser: TestClient, medium_id: str) -> None:
    for what in ("original", "preview", "size", "readings"):
        assert browser.get(f"/media/{medium_id}/{what}").status_code == 404
    for what in ("delete", "restore"):
        assert browser.post(f"/media/{medium_id}/{what}").status_code == 404


def test_deleted_and_brought_back(browser: TestClient, state: State) -> None:
    medium = send(browser, picture())
    assert browser.post(f"/media/{medium}/delete").status_code == 204
    assert browser.get(f"/media/{medium}/original").status_code == 404
    assert f'data-id="{medium}"' not in browser.get("/kept").text
    assert browser.post(f"/media/{medium}/delete").status_code == 404
    assert browser.post(f"/media/{medium}/restore").status_code == 204
    assert browser.get(f"/media/{medium}/original").content == picture()


def test_readings_are_never_written_over(browser: TestClient, state: State) -> None:
    medium = state.media.get(send(browser, picture()))
    assert medium is not None
    assert [keep_reading(medium.folder, {"ratio": k}) for k in (8, 9, 10)] == [1, 2, 3]
    told = browser.get(f"/media/{medium.id}/readings").json()
    assert told == [{"number": k, "ratio": k + 7} for k in (1, 2, 3)]
    assert {path.name for path in medium.folder.iterdir()} == {
        "about.json",
        "original.jpg",
        *(f"reading-{k}.json" for k in (1, 2, 3)),
    }


def test_a_damaged_note_hides_only_its_own(browser: TestClient, state: State) -> None:
    whole, damaged = send(browser, picture()), send(browser, picture())
    (state.folder / "media" / damaged / "about.json").write_text("{", encoding="utf-8")
    assert [each.id for each in state.media.all()] == [whole]
    assert browser.get("/kept").status_code == 200


def test_the_folder_is_the_users_alone(state: State) -> None:
    assert state.folder.stat().st_mode & 0o077 == 0


def test_a_job_is_given_the_file_and_not_the_id(browser: TestClient, state: State) -> None:
    medium = send(browser, picture())
    job = browser.post("/jobs", json={"kind": "echo", "say": 1, "media": {"picture": medium}}).json()
    begun = state.jobs.look(job["id"])
    assert begun is not None
    assert begun.order["media"]["picture"]["file"] == str(state.folder / "media" / medium / "original.jpg")
    # What a job was told is not sent back.
    assert "order" not in job
    assert str(state.folder) not in json.dumps(job)


@pytest.mark.parametrize(
    ("start", "kind"),
    [
        (picture("PNG"), "image/png"),
        (picture("WEBP"), "image/webp"),
        (picture("TIFF"), "image/tiff"),
        (picture("BMP"), "image/bmp"),
        (picture("GIF"), "image/gif"),
        (picture("AVIF"), "image/avif"),
        (b"RIFF\0\0\0\0WAVEfmt ", "audio/wav"),
        (b"\0\0\0\x14ftypqt  ", "video/quicktime"),
        (b"\0\0\0\x20ftypheic", "image/heic"),
        (b"\x1aE\xdf\xa3", "video/webm"),
    ],
)
def test_kinds_are_told_by_content(start: bytes, kind: str) -> None:
    found = kind_of(start)
    assert found is not None
    assert found.media_type == kind


def test_uploads_need_the_page(stranger: TestClient, tmp_path: Path) -> None:
    assert stranger.post("/uploads", content=picture(), headers={"Origin": ADDRESS}).status_code == 403
