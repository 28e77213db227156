"""Addresses of signing in and out, of one's own account, and of people."""

from django.urls import path

from registry.web.accounts import account_views, factor_views, people_views
from registry.web.accounts.link_views import AskForLink, OpenLink
from registry.web.accounts.middleware import before_second_factor
from registry.web.accounts.sign_in_views import SignIn, SignOut, sign_in_code

urlpatterns = [
    path("sign-in/", SignIn.as_view(), name="sign-in"),
    path("sign-in/code/", sign_in_code, name="sign-in-code"),
    path("sign-out/", before_second_factor(SignOut.as_view()), name="sign-out"),
    path("password/link/", AskForLink.as_view(), name="password-ask"),
    path("password/link/<uidb64>/<token>/", OpenLink.as_view(), name="password-link"),
    path("account/", account_views.account, name="account"),
    path("account/password/", account_views.password_change, name="password-change"),
    path("account/second-factor/", factor_views.second_factor_on, name="second-factor-on"),
    path("account/second-factor/off/", factor_views.second_factor_off, name="second-factor-off"),
    path("account/recovery-codes/", factor_views.recovery_codes, name="recovery-codes"),
    path("account/sign-ins/end/", account_views.sign_ins_end, name="sign-ins-end"),
    path("account/sign-ins/<slug:ident>/end/", account_views.sign_in_end, name="sign-in-end"),
    path("people/", people_views.people, name="people"),
    path("people/new/", people_views.person_new, name="person-new"),
    path("people/<int:pk>/", people_views.person, name="person"),
    path("people/<int:pk>/edit/", people_views.person_edit, name="person-edit"),
    path("people/<int:pk>/link/", people_views.person_link, name="person-link"),
    path("people/<int:pk>/sign-out/", people_views.person_sign_out, name="person-sign-out"),
    path("people/<int:pk>/second-factor/reset/", people_views.person_factor_reset, name="person-factor-reset"),
    path("people/<int:pk>/shut-out/", people_views.person_shut_out, name="person-shut-out"),
    path("people/<int:pk>/let-in/", people_views.person_let_in, name="person-let-in"),
]
