// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"

#include <QDialog>

class QTextBrowser;

namespace fw {

/// The steps behind a figure, to be read and copied: inputs with where they come from, steps with formula and
/// value, the result, source and remarks. Not modal: it stays open beside the map; show() another in it.
class WorkingView : public QDialog {
    Q_OBJECT
public:
    explicit WorkingView(QWidget* parent = nullptr);

    void setWorking(const Working& working);
    [[nodiscard]] const Working& working() const { return m_working; }
    /// What Copy puts on the clipboard, in the user's locale.
    [[nodiscard]] QString asText() const;

public slots:
    void copyText();

protected:
    void changeEvent(QEvent*) override;
    bool eventFilter(QObject* watched, QEvent* e) override;

private:
    [[nodiscard]] QString asHtml() const;
    Working m_working;
    QTextBrowser* m_page;
};

/// A value of a working with as many decimals as it needs (about four significant digits).
QString workingFigure(double value, const std::string& unit);

} // namespace fw
