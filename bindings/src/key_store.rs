//! Key store: the platform's own, where the shell has one.

use std::sync::Arc;

use tallywater_core::desk::{self, KeyStoreError};
use zeroize::Zeroizing;

use crate::Fault;

/// Keeps secrets by name, in the platform's own key store.
#[uniffi::export(with_foreign)]
pub trait KeyStore: Send + Sync {
    /// The secret under this name; `None` if there is none.
    fn load(&self, name: String) -> Result<Option<Vec<u8>>, Fault>;
    /// Keeps a secret under this name, in place of the one that was there.
    fn save(&self, name: String, secret: Vec<u8>) -> Result<(), Fault>;
}

/// A shell's key store as the desk knows one.
pub(crate) struct ShellKeyStore(pub(crate) Arc<dyn KeyStore>);

impl desk::KeyStore for ShellKeyStore {
    fn load(&self, name: &str) -> Result<Option<Zeroizing<Vec<u8>>>, KeyStoreError> {
        let secret = self.0.load(name.to_owned()).map_err(failed("read a key"))?;
        Ok(secret.map(Zeroizing::new))
    }

    fn save(&self, name: &str, secret: &[u8]) -> Result<(), KeyStoreError> {
        self.0
            .save(name.to_owned(), secret.to_vec())
            .map_err(failed("keep a key"))
    }
}

fn failed(during: &'static str) -> impl FnOnce(Fault) -> KeyStoreError {
    move |fault| KeyStoreError {
        during,
        detail: fault.to_string(),
    }
}
