// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/working_view.h"

#include "dialogs/dialog_parts.h"
#include "text/figures.h"
#include "theme/window_palette.h"

#include <QClipboard>
#include <QDialogButtonBox>
#include <QGuiApplication>
#include <QKeyEvent>
#include <QPushButton>
#include <QTextBrowser>
#include <QVBoxLayout>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

QString fromCore(const std::string& text) { return text.empty() ? QString() : coreText(text); }
QString html(const QString& text) { return text.toHtmlEscaped(); }

QString cell(const QString& text, const QString& attributes = {}) {
    return QStringLiteral("<td %1>%2</td>").arg(attributes, text);
}

} // namespace

QString workingFigure(double value, const std::string& unit) {
    const double size = std::fabs(value);
    int decimals = 0;
    if (std::fabs(value - std::round(value)) > 1e-9 * std::max(1.0, size))
        decimals = size >= 1000 ? 1 : size >= 100 ? 1 : size >= 10 ? 2 : size >= 0.1 ? 3 : 6;
    return figure(value, fromCore(unit), decimals);
}

WorkingView::WorkingView(QWidget* parent) : QDialog(parent), m_page(new QTextBrowser(this)) {
    setModal(false);
    setWindowFlag(Qt::WindowContextHelpButtonHint, false);
    m_page->setOpenLinks(false);
    m_page->setFrameShape(QFrame::NoFrame);
    m_page->setLineWrapMode(QTextEdit::WidgetWidth);
    m_page->setWordWrapMode(QTextOption::WrapAtWordBoundaryOrAnywhere);
    m_page->setTextInteractionFlags(Qt::TextSelectableByMouse | Qt::TextSelectableByKeyboard);
    m_page->setAccessibleName(tr("Steps behind the figure"));

    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close, this);
    auto* copy = buttons->addButton(tr("&Copy as text"), QDialogButtonBox::ActionRole);
    copy->setAutoDefault(false);
    connect(copy, &QPushButton::clicked, this, &WorkingView::copyText);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    m_page->installEventFilter(this);

    auto* column = new QVBoxLayout(this);
    column->addWidget(m_page, 1);
    column->addWidget(buttons);
    const int line = fontMetrics().height();
    openAtSize(*this, {line * 32, line * 26});
    m_page->setFocus();
}

void WorkingView::setWorking(const Working& working) {
    m_working = working;
    setWindowTitle(fromCore(working.title));
    m_page->setHtml(asHtml());
}

QString WorkingView::asText() const {
    QStringList out{fromCore(m_working.title), QString()};
    for (const WorkingInput& in : m_working.inputs) {
        const QString line =
            QStringLiteral("  %1 = %2").arg(fromCore(in.name), workingFigure(in.value, in.unit));
        out << (in.origin.empty() ? line : QStringLiteral("%1  (%2)").arg(line, fromCore(in.origin)));
    }
    out << QString();
    int n = 1;
    for (const WorkingStep& s : m_working.steps) {
        out << QStringLiteral("%1. %2").arg(n++).arg(fromCore(s.what));
        const QString value = workingFigure(s.value, s.unit);
        out << (s.formula.empty() ? QStringLiteral("   = %1").arg(value)
                                  : QStringLiteral("   %1 = %2").arg(fromCore(s.formula), value));
    }
    out << QString();
    if (!m_working.source.empty()) out << tr("Source: %1").arg(fromCore(m_working.source));
    for (const std::string& r : m_working.remarks) out << tr("Remark: %1").arg(fromCore(r));
    return out.join(QLatin1Char('\n')).trimmed() + QLatin1Char('\n');
}

QString WorkingView::asHtml() const {
    const WindowPalette& c = windowPalette(palette());
    const QString soft = QStringLiteral("style=\"color:%1\"").arg(c.inkSoft.name());
    const QString head = QStringLiteral("<p style=\"margin-top:12px;margin-bottom:2px;color:%1\">%2</p>");
    const QString wide = QStringLiteral("<table width=\"100%\" cellspacing=\"0\" cellpadding=\"3\">");
    QString out = QStringLiteral("<h3>%1</h3>").arg(html(fromCore(m_working.title)));
    if (!m_working.inputs.empty()) {
        out += head.arg(c.inkSoft.name(), html(tr("What goes in"))) + wide;
        for (const WorkingInput& in : m_working.inputs)
            out += QStringLiteral("<tr>") + cell(html(fromCore(in.name))) +
                   cell(html(workingFigure(in.value, in.unit)), QStringLiteral("align=\"right\"")) +
                   cell(html(fromCore(in.origin)), soft) + QStringLiteral("</tr>");
        out += QStringLiteral("</table>");
    }
    out += head.arg(c.inkSoft.name(), html(tr("Steps"))) + wide;
    for (std::size_t i = 0; i < m_working.steps.size(); ++i) {
        const WorkingStep& s = m_working.steps[i];
        const bool last = i + 1 == m_working.steps.size();
        QString value = html(workingFigure(s.value, s.unit));
        QString what = html(fromCore(s.what));
        if (last) {
            value = QStringLiteral("<b>%1</b>").arg(value);
            what = QStringLiteral("<b>%1</b>").arg(what);
        }
        if (!s.formula.empty())
            what += QStringLiteral("<br/><span %1>%2</span>").arg(soft, html(fromCore(s.formula)));
        out += QStringLiteral("<tr>") + cell(QString::number(i + 1), soft) + cell(what) +
               cell(value, QStringLiteral("align=\"right\"")) + QStringLiteral("</tr>");
    }
    out += QStringLiteral("</table>");
    if (!m_working.source.empty())
        out +=
            QStringLiteral("<p %1>%2</p>").arg(soft, html(tr("Source: %1").arg(fromCore(m_working.source))));
    for (const std::string& r : m_working.remarks)
        out += QStringLiteral("<p>%1</p>").arg(html(tr("Remark: %1").arg(fromCore(r))));
    return out;
}

void WorkingView::copyText() { QGuiApplication::clipboard()->setText(asText()); }

// Without a selection in the page the usual key copies everything.
bool WorkingView::eventFilter(QObject* watched, QEvent* e) {
    if (watched == m_page && e->type() == QEvent::KeyPress &&
        static_cast<QKeyEvent*>(e)->matches(QKeySequence::Copy) && !m_page->textCursor().hasSelection()) {
        copyText();
        return true;
    }
    return QDialog::eventFilter(watched, e);
}

void WorkingView::changeEvent(QEvent* e) {
    if (e->type() == QEvent::PaletteChange) m_page->setHtml(asHtml());
    QDialog::changeEvent(e);
}

} // namespace fw
