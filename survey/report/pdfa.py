"""How does an ordinary PDF become PDF/A-2b (ISO 19005-2)?

Adds what the standard asks for and reportlab leaves out: an sRGB output intent, XMP metadata that
agree with the document information, printable annotations, and a document identity.
"""

from datetime import UTC, datetime
from functools import lru_cache
from io import BytesIO

import pikepdf
from pikepdf import Array, Dictionary, Name, String
from PIL import ImageCms

PRINTED = 4  # annotation flag "Print", ISO 32000-1 table 165
CONDITION = "sRGB IEC61966-2.1"


def to_pdfa(
    pdf_bytes: bytes, *, title: str, author: str, subject: str, produced_at: datetime
) -> bytes:
    """Return the document as PDF/A-2b; the same input gives the same bytes."""
    with pikepdf.open(BytesIO(pdf_bytes)) as pdf:
        pdf.Root.OutputIntents = Array([pdf.make_indirect(_output_intent(pdf))])
        pdf.Root.Lang = String("en-US")
        pdf.Root.ViewerPreferences = Dictionary(DisplayDocTitle=True)
        pdf.Root.PageMode = Name.UseOutlines
        _print_annotations(pdf)
        _identify(pdf, title=title, author=author, subject=subject, produced_at=produced_at)
        kept = BytesIO()
        pdf.save(
            kept,
            linearize=False,
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
            compress_streams=False,  # they are packed already; packing again took half the time
            deterministic_id=True,
            min_version="1.7",
        )
    return kept.getvalue()


@lru_cache(maxsize=1)
def srgb_profile() -> bytes:
    """Return an sRGB profile with a fixed date of making, so that documents are reproducible."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    # ICC.1:2010, table 17: bytes 24..35 date and time, 84..99 profile identity (0: not computed).
    profile[24:36] = bytes.fromhex("07ea00010001000000000000")
    profile[84:100] = bytes(16)
    return bytes(profile)


def _output_intent(pdf: pikepdf.Pdf) -> Dictionary:
    return Dictionary(
        Type=Name.OutputIntent,
        S=Name.GTS_PDFA1,
        OutputConditionIdentifier=String(CONDITION),
        Info=String(CONDITION),
        RegistryName=String("http://www.color.org"),
        DestOutputProfile=pdf.make_stream(srgb_profile(), N=3, Alternate=Name.DeviceRGB),
    )


def _print_annotations(pdf: pikepdf.Pdf) -> None:
    for page in pdf.pages:
        for annotation in page.obj.get("/Annots", []):
            annotation.F = PRINTED
            if annotation.get("/Subtype") == Name.Link and not str(annotation.get("/Contents", "")):
                annotation.Contents = String("Go to the page")


def _identify(
    pdf: pikepdf.Pdf, *, title: str, author: str, subject: str, produced_at: datetime
) -> None:
    moment = produced_at.astimezone(UTC)
    stamp = moment.strftime("D:%Y%m%d%H%M%S+00'00'")
    for key in list(pdf.docinfo.keys()):
        del pdf.docinfo[key]
    pdf.docinfo.update(
        {"/Title": title, "/Author": author, "/Subject": subject, "/Creator": "Pontata",
         "/Producer": "Pontata", "/CreationDate": stamp, "/ModDate": stamp}
    )  # fmt: skip
    with pdf.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as metadata:
        metadata.load_from_docinfo(pdf.docinfo)
        metadata["xmp:MetadataDate"] = moment.isoformat()
        metadata["pdfaid:part"] = "2"
        metadata["pdfaid:conformance"] = "B"
