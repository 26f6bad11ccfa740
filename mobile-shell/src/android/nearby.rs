//! Nearby: the lock without which the Wi-Fi lets through nothing that devices say to all.

use jni::errors::Result as Answer;
use jni::objects::{Global, JObject, JString, JValue};
use jni::{Env, jni_sig, jni_str};

/// A multicast lock of the Wi-Fi service, not yet acquired and not counted.
pub(super) fn new_lock(env: &mut Env, activity: &JObject) -> Answer<Global<JObject<'static>>> {
    let service = JString::new(env, "wifi")?;
    let wifi = env
        .call_method(
            activity,
            jni_str!("getSystemService"),
            jni_sig!("(Ljava/lang/String;)Ljava/lang/Object;"),
            &[JValue::Object(&service)],
        )?
        .l()?;
    let name = JString::new(env, "tallywater")?;
    let lock = env
        .call_method(
            &wifi,
            jni_str!("createMulticastLock"),
            jni_sig!("(Ljava/lang/String;)Landroid/net/wifi/WifiManager$MulticastLock;"),
            &[JValue::Object(&name)],
        )?
        .l()?;
    env.call_method(
        &lock,
        jni_str!("setReferenceCounted"),
        jni_sig!("(Z)V"),
        &[JValue::Bool(false)],
    )?;
    env.new_global_ref(lock)
}
