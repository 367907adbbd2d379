// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

#include <vector>

class QFrame;
class QLabel;
class QVBoxLayout;
class QPushButton;

namespace fw {

class LostWorkList;
struct LostWork;

/// What opens first: the sample, the plans of late, a plan from a file, and how to begin from files of one's
/// own.
class StartPage : public QWidget {
    Q_OBJECT
public:
    explicit StartPage(QWidget* parent = nullptr);
    void showRecent(); ///< reads the list anew
    /// Why a plan could not be opened; empty: nothing to say.
    void sayTrouble(const QString& why);
    /// Work that was lost, above all else; empty: none.
    void showLostWork(const std::vector<LostWork>& work);
    [[nodiscard]] LostWorkList* lostWork() const { return m_lost; }
    [[nodiscard]] QPushButton* sampleButton() const { return m_sample; }

signals:
    void sampleWanted();
    void openWanted(); ///< asks for a file
    void planWanted(const QString& file);
    void newPlanWanted();
    void filesWanted(); ///< asks for files to begin a plan with

protected:
    void paintEvent(QPaintEvent*) override;

private:
    QPushButton *m_sample, *m_open, *m_new, *m_files;
    QVBoxLayout* m_recent;
    QWidget* m_strip; ///< keeps the room of the picture at the foot
    QLabel *m_noRecent, *m_trouble;
    QFrame* m_lostFrame;
    LostWorkList* m_lost;
};

} // namespace fw
