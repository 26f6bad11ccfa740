//! News: what happened on other threads, brought to the drawing thread in order.
//!
//! Whoever makes a change tells it before the call returns. Here it only joins a queue and
//! wakes the drawing thread, so that no tap elsewhere ever waits for a screen.

use std::cell::RefCell;
use std::collections::VecDeque;
use std::rc::{Rc, Weak};
use std::sync::{Arc, Mutex, PoisonError};

use tallywater_bindings::{
    Change, Fault, Glance, LinkListener, LinkNews, Listener, OutlookView, SeasonView,
};

use super::Shell;

/// Something happened.
#[derive(Debug, Clone)]
pub(crate) enum News {
    /// In a ledger.
    Changed(Change),
    /// On the network.
    Link,
    /// Something that was begun off the drawing thread has ended.
    Done(Done),
}

/// What was begun off the drawing thread.
#[derive(Debug, Clone)]
pub(crate) enum Done {
    /// A device was paired, or not.
    Paired(Result<(), Fault>),
    /// The demo school stands in this folder, or not.
    Demo(Result<String, Fault>),
    /// So much of the demo school stands.
    DemoPart(u8),
    /// What to expect of this course; nothing where it was not wanted any more.
    Ahead(String, Box<Result<Option<OutlookView>, Fault>>),
    /// What the season says, for whoever looked by this glance.
    Season(Arc<Glance>, Box<Result<Option<SeasonView>, Fault>>),
}

/// The queue.
#[derive(Debug, Default)]
pub(crate) struct Post(Mutex<VecDeque<News>>);

thread_local! {
    static HERE: RefCell<Weak<Shell>> = const { RefCell::new(Weak::new()) };
}

/// The shell whose window this thread draws.
#[cfg(target_os = "android")]
pub(crate) fn shell_here() -> Option<Rc<Shell>> {
    HERE.with(|here| here.borrow().upgrade())
}

/// Makes this shell the one that news on this thread goes to.
pub(super) fn here(shell: &Rc<Shell>) {
    HERE.with(|here| here.replace(Rc::downgrade(shell)));
}

impl Post {
    /// Takes news in, from whatever thread, and wakes the drawing thread.
    pub(crate) fn put(&self, news: News) {
        self.0
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .push_back(news);
        // Without an event loop (a test) or after its end nobody is woken: the queue is
        // emptied after the next tap, or never.
        let _ = slint::invoke_from_event_loop(|| {
            let shell = HERE.with(|here| here.borrow().upgrade());
            if let Some(shell) = shell {
                shell.take_news();
            }
        });
    }

    fn take(&self) -> VecDeque<News> {
        std::mem::take(&mut *self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

/// Told by the desk.
pub(super) struct Changes(pub(super) Arc<Post>);

impl Listener for Changes {
    fn changed(&self, change: Change) -> Result<(), Fault> {
        self.0.put(News::Changed(change));
        Ok(())
    }
}

/// Told by the network.
struct Link(Arc<Post>);

impl LinkListener for Link {
    fn link_news(&self, _news: LinkNews) -> Result<(), Fault> {
        self.0.put(News::Link);
        Ok(())
    }
}

impl Shell {
    /// Where other threads leave news for the drawing thread.
    pub(crate) fn post(&self) -> Arc<Post> {
        Arc::clone(&self.news)
    }

    /// Takes in what happened elsewhere.
    pub fn take_news(self: &Rc<Self>) {
        let news = self.news.take();
        if news.is_empty() {
            return;
        }
        let mut link = false;
        for news in news {
            match news {
                News::Changed(change) => crate::screen::refresh(self, &change),
                News::Link => link = true,
                News::Done(done) => crate::screen::done(self, done),
            }
        }
        // Once for all of it: a first sync tells hundreds of arrivals in a row.
        if link {
            crate::screen::link_news(self);
        }
        // The day is read once for all that stands around the screen.
        let at = self.at_hand();
        self.elsewhere_over(at.clone());
        self.lit_of(at.as_ref());
        self.header(at);
    }

    /// Goes on the network. A device that cannot goes on alone and says so.
    pub fn go_online(self: &Rc<Self>) {
        let link = Arc::new(Link(self.post()));
        if let Err(fault) = self.desk().go_online(Vec::new(), true, Some(link)) {
            self.fault(&fault);
        }
        self.hear_nearby(true);
        self.header(self.at_hand());
    }
}
