// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "store/recovery.h"

#include <QWidget>

#include <vector>

class QVBoxLayout;

namespace fw {

/// Work that sessions which ended badly left behind: a piece each, with what would come back, and what to do
/// with it.
class LostWorkList : public QWidget {
    Q_OBJECT
public:
    explicit LostWorkList(QWidget* parent = nullptr);
    /// @param most  pieces that are shown; how many more there are is said below them.
    void setWork(const std::vector<LostWork>& work, int most = 100);
    [[nodiscard]] bool isEmpty() const { return m_count == 0; }

signals:
    void bringBackWanted(const fw::LostWork& work);
    void notNowWanted(const fw::LostWork& work);
    void forgetWanted(const fw::LostWork& work);

private:
    void addPiece(const LostWork& work);
    QVBoxLayout* m_column;
    int m_count = 0;
};

/// "Port Merrow: 12 edits that were not saved".
QString titleOf(const LostWork& work);
/// The latest first, at most `most`: "Move mount W-17; Turn radio W-17 a".
QString lastSteps(const LostWork& work, int most);

} // namespace fw
