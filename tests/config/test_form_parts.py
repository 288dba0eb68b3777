"""Forms and tables as every page shows them."""

import django_tables2 as tables
from django import forms

from tests.html import Page, build

# Forms


class Candle(forms.Form):
    code = forms.CharField(max_length=5, help_text="As on the box.")
    pairs = forms.IntegerField(min_value=1)
    price = forms.DecimalField(decimal_places=2)
    grade = forms.ChoiceField(choices=[("firsts", "firsts"), ("seconds", "seconds")], widget=forms.RadioSelect)
    active = forms.BooleanField(label="In the catalogue", required=False)
    notes = forms.CharField(widget=forms.Textarea, required=False)
    version = forms.IntegerField(widget=forms.HiddenInput)


def show_form(**data) -> Page:
    return build('{% include "parts/form.html" with form=form %}', form=Candle(data or None))


def test_every_control_has_a_label_and_its_help():
    page = show_form()
    labelled = {label["attrs"].get("for") for label in page.all("label")}
    assert {"id_code", "id_pairs", "id_price", "id_active", "id_notes", "id_grade_0", "id_grade_1"} <= labelled
    assert page.one("input", name="code")["attrs"]["aria-describedby"] == "id_code_helptext"
    assert page.one("p", id="id_code_helptext")["text"] == "As on the box."
    assert page.one("legend")["text"].strip() == "Grade"


def test_an_untouched_form_is_not_refused():
    assert not show_form().all("div", role="alert")


def test_a_refused_form_keeps_what_was_typed_and_says_why_beside_it():
    page = show_form(code="TOO LONG", pairs="12x", price="1.5", version="1")
    code, pairs = page.one("input", name="code")["attrs"], page.one("input", name="pairs")["attrs"]
    assert (code["value"], pairs["value"]) == ("TOO LONG", "12x")
    assert code["aria-invalid"] == "true"
    assert code["aria-describedby"] == "id_code_helptext id_code_error"
    assert "at most 5" in page.one("ul", id="id_code_error")["text"]
    assert page.one("fieldset")["attrs"]["aria-describedby"] == "id_grade_error"


def test_the_summary_links_to_each_refused_field():
    page = show_form(code="TOO LONG", pairs="12x", price="1.5", version="1")
    summary = page.one("div", role="alert")
    assert "3 things want putting right" in summary["text"]
    targets = [link["attrs"]["href"] for link in page.all("a")]
    assert targets == ["#id_code", "#id_pairs", "#id_grade_0"]
    ids = {element["attrs"].get("id") for element in page.elements}
    assert {target.removeprefix("#") for target in targets} <= ids


def test_a_fault_in_a_hidden_field_is_told_without_a_link():
    page = show_form(code="A", pairs="1", price="1", grade="firsts", version="x")
    assert "One thing wants putting right" in page.one("div", role="alert")["text"]
    assert not page.all("a")


def test_errors_are_escaped():
    form = Candle({"code": "A"})
    form.add_error(None, "<b>no</b>")
    page = build('{% include "parts/form_errors.html" %}', form=form)
    assert not page.all("b")
    assert "<b>no</b>" in page.one("div", role="alert")["text"]


def test_numbers_are_typed_into_text_boxes_with_number_keys():
    page = show_form(pairs="-3", price="1.5")
    pairs, price = page.one("input", name="pairs")["attrs"], page.one("input", name="price")["attrs"]
    assert (pairs["type"], pairs["inputmode"], pairs["class"]) == ("text", "numeric", "num")
    assert price["inputmode"] == "decimal"
    assert not {"min", "max", "step"} & set(pairs)


# Tables


def asking(rf, **query):
    return rf.get("/", query)


class Book(tables.Table):
    caption = "order book"
    number = tables.Column(attrs={"td": {"class": "num"}, "th": {"class": "num"}})
    shop = tables.Column(orderable=False)
    picture = tables.Column(verbose_name="", orderable=False)

    class Meta:
        empty_text = "No order waits."


def show_table(request, rows=30, **page) -> Page:
    table = Book([{"number": n, "shop": f"Shop {n}", "picture": ""} for n in range(rows)])
    tables.RequestConfig(request, paginate={"per_page": 10}).configure(table)
    return build("{% load django_tables2 %}{% render_table table %}", request, table=table)


def test_a_table_is_named_and_every_column_has_a_head(rf):
    page = show_table(asking(rf))
    assert page.one("caption")["text"] == "Order book"
    assert page.one("div", class_="scroll")["attrs"]["data-label"] == "Order book"
    assert [head["text"].strip() for head in page.all("th", scope="col")] == ["Number", "Shop", "Picture"]


def test_sorting_is_a_link_that_says_which_way(rf):
    page = show_table(asking(rf, sort="-number", page="2", shop="lamp"))
    head = page.one("th", aria_sort="descending")
    assert "↓" in head["text"]
    link = page.all("a")[0]["attrs"]["href"]
    assert "sort=number" in link
    assert "shop=lamp" in link
    assert "page=" not in link, "a new order begins on its first page"


def test_paging_is_told_in_words(rf):
    page = show_table(asking(rf, page="2"))
    nav = page.one("nav", class_="pager")
    assert nav["attrs"]["aria-label"] == "Pages of order book"
    assert "Page 2 of 3" in nav["text"]
    links = {link["text"]: link["attrs"]["href"] for link in page.all("a") if "page=" in link["attrs"]["href"]}
    assert links == {"First": "?page=1", "Previous": "?page=1", "Next": "?page=3", "Last": "?page=3"}


def test_one_page_has_no_pager(rf):
    assert not show_table(asking(rf), rows=10).all("nav")


def test_an_empty_table_says_so(rf):
    assert show_table(asking(rf), rows=0).one("td", colspan="3")["text"] == "No order waits."
