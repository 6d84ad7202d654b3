"""Addresses of the pages."""

from django.urls import path, register_converter

from shop.web.addresses import ShopNumber
from shop.web.views import (
    build_parts,
    builds,
    certificates,
    check,
    cutting,
    deciding,
    gauge,
    matching,
    one_build,
    parts,
    recalls,
    scale_page,
    scales,
    sign_in,
    take_in,
    weighing,
)

register_converter(ShopNumber, "number")

app_name = "web"
urlpatterns = [
    path("", builds.first, name="first"),
    path("sign-in", sign_in.SignIn.as_view(), name="sign-in"),
    path("sign-out", sign_in.SignOut.as_view(), name="sign-out"),
    path("builds/", builds.builds, name="builds"),
    path("open-build/", builds.open_one, name="open-build"),
    path("take-in/", take_in.take_in, name="take-in"),
    path("builds/<number:number>/", one_build.build, name="build"),
    path("builds/<number:number>/parts/", build_parts.build_parts, name="build-parts"),
    path("builds/<number:number>/weigh/", weighing.weigh, name="weigh"),
    path("builds/<number:number>/weigh/<int:weighing>/", weighing.take_back, name="take-back"),
    path("builds/<number:number>/match/", matching.match, name="match"),
    path("builds/<number:number>/cut/", cutting.cut, name="cut"),
    path("builds/<number:number>/bob-weight/", matching.card, name="card"),
    path("builds/<number:number>/checklist/", deciding.checklist, name="checklist"),
    path("builds/<number:number>/findings/", deciding.findings, name="findings"),
    path("builds/<number:number>/release/", deciding.release, name="release"),
    path("builds/<number:number>/ledger/", one_build.history, name="build-history"),
    path("builds/<number:number>/bundle/", one_build.bundle, name="build-bundle"),
    path("builds/<number:number>/left/", one_build.sweep, name="sweep"),
    path("parts/", parts.parts, name="parts"),
    path("parts/<number:number>/", parts.part, name="part"),
    path("scales/", scales.scales, name="scales"),
    path("scales/<number:number>/", scale_page.scale, name="scale"),
    path("scales/<number:number>/files/<int:file>", scale_page.scale_file, name="scale-file"),
    path("scales/<number:number>/recall/", recalls.recall_scale, name="recall-scale"),
    path("recalls/", recalls.recalls, name="recalls"),
    path("recalls/<int:recall>/", recalls.one_recall, name="recall"),
    path("recalls/<int:recall>.pdf", recalls.report_pdf, name="recall-pdf"),
    path("recalls/<int:recall>.csv", recalls.report_csv, name="recall-csv"),
    path("gauge-studies/", gauge.studies, name="gauge-studies"),
    path("gauge-studies/<number:number>/", gauge.study, name="gauge-study"),
    path("gauge-studies/<number:number>/readings.csv", gauge.study_csv, name="gauge-study-csv"),
    path("repeatability/", gauge.technicians, name="repeatability"),
    path("certificates/", certificates.certificates, name="certificates"),
    path("certificates/<number:number>/", certificates.certificate, name="certificate"),
    path(
        "certificates/<number:number>/<int:revision>.pdf",
        certificates.certificate_pdf,
        name="certificate-pdf",
    ),
    path("check/", check.check, name="check"),
    # as printed in the QR code of a paper, without a last stroke
    path("check/<number:number>/<str:code>", check.check_code, name="check-code"),
    path("check/<number:number>/<str:code>/", check.check_code),
]
