// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "intake/preview.h"

#include <QWidget>

#include <functional>

class QVBoxLayout;

namespace fw {

/// What a preview remarks on a file, each with its weight as a word and buttons for what can be answered;
/// questions first. Hidden while there is nothing.
class RemarkList : public QWidget {
    Q_OBJECT
public:
    explicit RemarkList(QWidget* parent = nullptr);
    void setRemarks(std::vector<IntakeRemark> remarks);

signals:
    void asked(const std::function<void(fw::IntakeRequest&)>& how); ///< an answer was chosen

protected:
    void changeEvent(QEvent*) override;

private:
    void rebuild();
    void add(const IntakeRemark& remark);
    std::vector<IntakeRemark> m_remarks;
    QVBoxLayout* m_rows;
};

} // namespace fw
