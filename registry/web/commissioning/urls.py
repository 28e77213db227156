"""Addresses of commissioning and of the photos of spots."""

from django.urls import path

from registry.web.commissioning import end_views, line_views, photo_views, place_views, views, zone_views

RUN = "commissionings/<int:pk>/"
LINE = f"{RUN}lines/<int:line>/"
ZONE = f"{RUN}zones/<int:zone>/"

urlpatterns = [
    path("sites/<slug:code>/commissionings/", views.commissionings, name="commissionings"),
    path("sites/<slug:code>/commissionings/start/", views.start, name="commissioning-start"),
    path(RUN, views.commissioning, name="commissioning"),
    path(f"{RUN}track/", views.track, name="commissioning-track"),
    path(f"{RUN}could-not/", views.could_not, name="commissioning-could-not"),
    path(LINE, line_views.line, name="commissioning-line"),
    path(f"{LINE}impedance/", line_views.impedance, name="commissioning-impedance"),
    path(f"{LINE}polarity/", line_views.polarity, name="commissioning-polarity"),
    path(ZONE, zone_views.zone, name="commissioning-zone"),
    path(f"{ZONE}spot/", zone_views.spot, name="commissioning-spot"),
    path(f"{ZONE}photo/", photo_views.photo_new, name="commissioning-photo"),
    path(f"{ZONE}as-found/", zone_views.as_found, name="commissioning-as-found"),
    path(f"{ZONE}wanted/", zone_views.wanted, name="commissioning-wanted"),
    path(f"{ZONE}trial/", zone_views.trial, name="commissioning-trial"),
    path(f"{ZONE}accept/", zone_views.accept, name="commissioning-accept"),
    path(f"{RUN}places/<int:place>/", place_views.place, name="commissioning-place"),
    path(f"{RUN}freeze/", end_views.freeze, name="commissioning-freeze"),
    path(f"{RUN}hand-over/", end_views.handing_over, name="commissioning-hand-over"),
    path(f"{RUN}stop/", end_views.stop, name="commissioning-stop"),
    path("spot-photos/<int:pk>/", photo_views.photo, name="spot-photo"),
    path("spot-photos/<int:pk>/remove/", photo_views.photo_remove, name="spot-photo-remove"),
]
