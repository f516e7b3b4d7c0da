"""The route that keeps photos of a job, before and after the work."""

from fastapi import APIRouter, Depends, Response

from app.bench.album import keep_photos, read_photos
from app.bench.screens import Key, on_job
from app.ground.gate import TECHNICIANS, Acting, Book, Page, Set, Typed

router = APIRouter()
UPLOAD = 27_000_000


@router.post("/bench/jobs/{job_id}/photos", dependencies=[Depends(TECHNICIANS)], max_body_size=UPLOAD)
def add_photos(job_id: Key, typed: Typed, act: Acting, book: Book, page: Page, settings: Set) -> Response:
    """Keeps photos of a job, before or after the work."""
    return on_job(
        book, page, job_id, typed, lambda: keep_photos(book, act, job_id, read_photos(typed), settings.files)
    )
