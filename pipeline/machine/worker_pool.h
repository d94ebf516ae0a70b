#pragma once
#include <condition_variable>
#include <deque>
#include <functional>
#include <future>
#include <memory>
#include <mutex>
#include <thread>
#include <type_traits>
#include <vector>

namespace tabard::pipeline {

/// A fixed number of threads that do tasks in the order they come. Where the system gives fewer threads, those do it
/// all; where it gives none, run() itself does the task.
class WorkerPool {
public:
    explicit WorkerPool(int workers);
    /// Waits for tasks that were begun and drops the others: their futures are broken.
    ~WorkerPool();

    /// What `task` gives or throws comes out of the future.
    template <class Task>
    std::future<std::invoke_result_t<Task&>> run(Task task)
    {
        auto packaged = std::make_shared<std::packaged_task<std::invoke_result_t<Task&>()>>(std::move(task));
        auto coming = packaged->get_future();
        add([packaged] { (*packaged)(); });
        return coming;
    }
    int size() const { return static_cast<int>(m_workers.size()); }

private:
    void add(std::function<void()> task);
    void work(std::stop_token const& closing);

    std::mutex m_mutex; // guards m_tasks
    std::condition_variable_any m_has_task;
    std::deque<std::function<void()>> m_tasks;
    std::vector<std::jthread> m_workers; // last: they end before what they use
};

} // namespace tabard::pipeline
