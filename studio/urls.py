"""The addresses of the studio's own pages."""

from django.urls import URLPattern, URLResolver, path

from studio.views import home, long_work, people, places, set_up, sign_in

app_name = "studio"
urlpatterns: list[URLPattern | URLResolver] = [
    path("", home.home, name="home"),
    path("health/", home.health, name="health"),
    path("set-up/", set_up.studio_edit, name="studio_edit"),
    path("mail/", set_up.mail_list, name="mail_list"),
    path("mail/<int:pk>/again/", set_up.mail_again, name="mail_again"),
    path("families/", people.family_list, name="family_list"),
    path("families/new/", people.family_create, name="family_create"),
    path("families/<int:pk>/", people.family_detail, name="family_detail"),
    path("families/<int:pk>/edit/", people.family_edit, name="family_edit"),
    path("families/<int:pk>/students/new/", people.student_create, name="student_create"),
    path("families/<int:pk>/adults/new/", people.adult_create, name="adult_create"),
    path("adults/<int:pk>/edit/", people.adult_edit, name="adult_edit"),
    path("students/", people.student_list, name="student_list"),
    path("students/<int:pk>/", people.student_detail, name="student_detail"),
    path("students/<int:pk>/edit/", people.student_edit, name="student_edit"),
    path("students/<int:pk>/sign-in/", sign_in.student_sign_in, name="student_sign_in"),
    path("adults/<int:pk>/sign-in/", sign_in.adult_sign_in, name="adult_sign_in"),
    path("places/<int:pk>/edit/", places.place_edit, name="place_edit"),
    path("work/", long_work.work_list, name="work_list"),
    path("work/<int:pk>/", long_work.work_show, name="work_show"),
    path("work/<int:pk>/file/", long_work.work_take, name="work_take"),
    path("work/<int:pk>/stop/", long_work.work_end, name="work_end"),
    path("work/<int:pk>/again/", long_work.work_begin_again, name="work_begin_again"),
    path("family/", home.family_home, name="family_home"),
    path("link/<str:token>/", sign_in.one_time_link, name="one_time_link"),
]
