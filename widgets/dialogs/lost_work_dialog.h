// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "shell/lost_work_list.h"

#include <QDialog>

class QLabel;

namespace fw {

/// All lost work, what was put off included. Stays beside the window.
class LostWorkDialog : public QDialog {
    Q_OBJECT
public:
    explicit LostWorkDialog(QWidget* parent = nullptr);
    void setWork(const std::vector<LostWork>& work);
    [[nodiscard]] LostWorkList* list() const { return m_list; }

private:
    LostWorkList* m_list;
    QLabel* m_none;
};

} // namespace fw
