// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/wait_aside.h"

#include "dialogs/dialog_parts.h"

#include <QEventLoop>
#include <QProgressBar>
#include <QTimer>
#include <QVBoxLayout>

#include <atomic>
#include <optional>
#include <thread>

namespace fw {
namespace {

constexpr int kGlanceMs = 400;

// Over the window until the work is done: neither closed nor left before.
class WaitDialog : public QDialog {
public:
    WaitDialog(QWidget* parent, const QString& what, std::stop_source stop)
        : QDialog(parent), m_stop(std::move(stop)) {
        setObjectName(QStringLiteral("wait"));
        setWindowModality(Qt::ApplicationModal);
        setWindowTitle(what);
        auto* page = new QVBoxLayout(this);
        auto* says = sentenceLabel(this);
        says->setText(what);
        page->addWidget(says);
        auto* bar = new QProgressBar(this);
        bar->setRange(0, 0); // how much is left is not known
        bar->setTextVisible(false);
        bar->setAccessibleName(what);
        page->addWidget(bar);
        m_button = plainButton(tr("Stop"), this);
        page->addWidget(m_button, 0, Qt::AlignRight);
        connect(m_button, &QPushButton::clicked, this, &WaitDialog::reject);
        setMinimumWidth(fontMetrics().averageCharWidth() * 50);
    }

    void reject() override {
        m_stop.request_stop();
        m_button->setEnabled(false);
    }

private:
    std::stop_source m_stop;
    QPushButton* m_button = nullptr;
};

} // namespace

Status waitAside(QWidget* parent, const QString& what,
                 const std::function<Status(const std::stop_token&)>& work) {
    std::stop_source stop;
    std::optional<Status> answer;
    std::atomic<bool> done = false;
    QEventLoop loop;
    std::thread worker([&] {
        answer = work(stop.get_token());
        done = true;
        QMetaObject::invokeMethod(&loop, &QEventLoop::quit, Qt::QueuedConnection);
    });
    QTimer::singleShot(kGlanceMs, &loop, &QEventLoop::quit);
    loop.exec(QEventLoop::ExcludeUserInputEvents);
    if (!done) {
        WaitDialog dialog(parent, what, stop);
        dialog.show();
        while (!done) loop.exec();
    }
    worker.join();
    return *answer;
}

} // namespace fw
