// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/report_html.h"

#include "app/format/text.h"

#include <fmt/format.h>

#include <string_view>
#include <variant>

namespace potwatch::report {
namespace {

using format::escaped;

constexpr std::size_t many_columns = 7; // from then on in smaller type

constexpr std::string_view style = R"(
:root { color-scheme: light; }
body { font-family: "DejaVu Sans", sans-serif; font-size: 14px; line-height: 1.45; color: #1a1a1a; background: #fff;
  max-width: 60em; margin: 2em auto; padding: 0 1.2em; }
h1 { font-size: 1.7em; margin: 0 0 .6em; border-bottom: 2px solid #1a1a1a; padding-bottom: .25em; overflow-wrap: anywhere; }
h2 { font-size: 1.25em; margin: 1.6em 0 .5em; overflow-wrap: anywhere; }
h3 { font-size: 1.05em; margin: 1.3em 0 .4em; }
table { border-collapse: collapse; width: 100%; margin: .5em 0; font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: .3em .9em .3em 0; border-bottom: 1px solid #c8c8c8; overflow-wrap: anywhere; }
thead th { border-bottom: 1.5px solid #1a1a1a; }
tbody th { font-weight: normal; }
.wide { font-size: .85em; }
.scroll { overflow-x: auto; }
figure { margin: .5em 0; }
.photos { display: flex; gap: 1em; flex-wrap: wrap; }
.photos figure { flex: 0 1 calc(50% - .5em); }
.photos figure:only-child { flex-basis: 70%; }
figure img { max-width: 100%; max-height: 26em; display: block; }
figcaption { font-size: .85em; }
figure svg { width: 100%; height: auto; display: block; }
ul { padding-left: 1.3em; }
footer { margin-top: 2.5em; border-top: 1px solid #5a5a5a; padding-top: .4em; font-size: .85em; }
@media print {
  @page { size: A4; margin: 16mm 15mm; }
  body { max-width: none; margin: 0; padding: 0; font-size: 9.5pt; }
  h2, h3 { break-after: avoid; }
  tr, figure, li { break-inside: avoid; }
  thead { display: table-header-group; }
  .page { break-before: page; }
}
)";

// The drawing alone, without the prolog of its document, and with its description for those who cannot see it.
std::string inlineSvg(std::string_view document, const std::string& description) {
    const std::size_t start = document.find("<svg");
    if (start == std::string_view::npos) {
        return "";
    }
    document.remove_prefix(start + 4);
    document = document.substr(0, document.rfind('>') + 1);
    return fmt::format("<svg role=\"img\" aria-label=\"{}\"{}", escaped(description), document);
}

class Page {
public:
    explicit Page(const HtmlPictures& pictures)
        : pictures_(pictures) {}

    void operator()(const Paragraph& paragraph) {
        const std::string words = escaped(paragraph.text);
        html_ +=
            paragraph.strong ? fmt::format("<p><strong>{}</strong></p>\n", words) : fmt::format("<p>{}</p>\n", words);
    }

    void operator()(const BulletList& list) {
        html_ += "<ul>\n";
        for (const std::string& item : list.items) {
            html_ += fmt::format("<li>{}</li>\n", escaped(item));
        }
        html_ += "</ul>\n";
    }

    void operator()(const Table& table) {
        html_ += fmt::format("<div class=\"scroll\"><table{} aria-label=\"{}\">\n<thead><tr>",
                             table.head.size() < many_columns ? "" : " class=\"wide\"", escaped(table.name));
        for (const std::string& cell : table.head) {
            html_ += fmt::format("<th scope=\"col\">{}</th>", escaped(cell));
        }
        html_ += "</tr></thead>\n<tbody>\n";
        for (const auto& row : table.rows) {
            html_ += "<tr>";
            for (std::size_t i = 0; i < row.size(); ++i) {
                html_ += i == 0 ? fmt::format("<th scope=\"row\">{}</th>", escaped(row[i]))
                                : fmt::format("<td>{}</td>", escaped(row[i]));
            }
            html_ += "</tr>\n";
        }
        html_ += "</tbody></table></div>\n";
    }

    void operator()(const PlotPlace& plot) {
        if (plot.drawing < pictures_.svgs.size()) {
            html_ +=
                fmt::format("<figure>{}{}</figure>\n", inlineSvg(pictures_.svgs[plot.drawing], plot.description),
                            plot.caption.empty() ? std::string()
                                                 : fmt::format("<figcaption>{}</figcaption>", escaped(plot.caption)));
        }
    }

    void operator()(const PhotoRow& row) {
        html_ += "<div class=\"photos\">\n";
        for (const PhotoPlace& photo : row.photos) {
            const std::string caption = escaped(photo.caption);
            const bool is_there = photo.run < pictures_.jpegs.size() &&
                                  photo.photo < pictures_.jpegs[photo.run].size() &&
                                  !pictures_.jpegs[photo.run][photo.photo].empty();
            html_ += is_there ? fmt::format("<figure><img alt=\"{0}\" src=\"data:image/jpeg;base64,{1}\">"
                                            "<figcaption>{0}</figcaption></figure>\n",
                                            caption, pictures_.jpegs[photo.run][photo.photo])
                              : fmt::format("<p>{}: this picture cannot be shown</p>\n", caption);
        }
        html_ += "</div>\n";
    }

    void add(const std::vector<Block>& blocks) {
        for (const Block& block : blocks) {
            std::visit(*this, block);
        }
    }

    [[nodiscard]] std::string& html() { return html_; }

private:
    const HtmlPictures& pictures_;
    std::string html_;
};

} // namespace

std::string htmlOf(const ReportContent& report, const HtmlPictures& pictures) {
    Page page(pictures);
    page.html() = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
        "'unsafe-inline'; img-src data:\">\n<title>{0}</title>\n<style>{1}</style>\n</head>\n<body>\n<h1>{0}</h1>\n",
        escaped(report.title), style);
    page.add(report.lead);
    for (const Section& section : report.sections) {
        page.html() += fmt::format("<h{0}{1}>{2}</h{0}>\n", section.level, section.on_new_page ? " class=\"page\"" : "",
                                   escaped(section.heading));
        page.add(section.blocks);
    }
    page.html() += fmt::format("<footer>{}</footer>\n</body>\n</html>\n", escaped(report.foot));
    return page.html();
}

} // namespace potwatch::report
