// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QFrame>

class QLabel;
class QToolButton;

namespace fw {

/// A sentence in place: what was refused, what failed, what was mended. Stays until it is put away or the
/// next one comes; never in the way.
class NoticeLine : public QFrame {
    Q_OBJECT
public:
    enum class Tone { plain, trouble };
    explicit NoticeLine(QWidget* parent = nullptr);
    /// @param action  text of a button beside it; empty: none (see acted()).
    void say(const QString& sentence, Tone tone = Tone::plain, const QString& action = {});
    void putAway();
    [[nodiscard]] QString text() const;

signals:
    void acted();

protected:
    void paintEvent(QPaintEvent*) override;

private:
    QLabel* m_text;
    QToolButton *m_action, *m_close;
    Tone m_tone = Tone::plain;
};

} // namespace fw
