//! Share: a paper put into the device's folder for downloads and offered to other programs.

use jni::errors::Result as Answer;
use jni::objects::{JObject, JString, JValue};
use jni::{Env, jni_sig, jni_str};

/// Writes the bytes as a new download and opens the sheet that shares it.
pub(super) fn share(
    env: &mut Env,
    activity: &JObject,
    name: &str,
    kind: &str,
    bytes: &[u8],
) -> Answer<()> {
    let resolver = env
        .call_method(
            activity,
            jni_str!("getContentResolver"),
            jni_sig!("()Landroid/content/ContentResolver;"),
            &[],
        )?
        .l()?;
    let values = env.new_object(
        jni_str!("android/content/ContentValues"),
        jni_sig!("()V"),
        &[],
    )?;
    for (column, text) in [
        ("_display_name", name),
        ("mime_type", kind),
        ("relative_path", "Download/Tallywater"),
    ] {
        let (column, text) = (JString::new(env, column)?, JString::new(env, text)?);
        env.call_method(
            &values,
            jni_str!("put"),
            jni_sig!("(Ljava/lang/String;Ljava/lang/String;)V"),
            &[JValue::Object(&column), JValue::Object(&text)],
        )?;
    }
    let downloads = env
        .get_static_field(
            jni_str!("android/provider/MediaStore$Downloads"),
            jni_str!("EXTERNAL_CONTENT_URI"),
            jni_sig!("Landroid/net/Uri;"),
        )?
        .l()?;
    let place = env
        .call_method(
            &resolver,
            jni_str!("insert"),
            jni_sig!("(Landroid/net/Uri;Landroid/content/ContentValues;)Landroid/net/Uri;"),
            &[JValue::Object(&downloads), JValue::Object(&values)],
        )?
        .l()?;
    let out = env
        .call_method(
            &resolver,
            jni_str!("openOutputStream"),
            jni_sig!("(Landroid/net/Uri;)Ljava/io/OutputStream;"),
            &[JValue::Object(&place)],
        )?
        .l()?;
    let array = env.byte_array_from_slice(bytes)?;
    env.call_method(
        &out,
        jni_str!("write"),
        jni_sig!("([B)V"),
        &[JValue::Object(&array)],
    )?;
    env.call_method(&out, jni_str!("close"), jni_sig!("()V"), &[])?;
    offer(env, activity, &place, kind)
}

/// Opens the system's own sheet for a file that other programs may read.
fn offer(env: &mut Env, activity: &JObject, place: &JObject, kind: &str) -> Answer<()> {
    let action = JString::new(env, "android.intent.action.SEND")?;
    let intent = env.new_object(
        jni_str!("android/content/Intent"),
        jni_sig!("(Ljava/lang/String;)V"),
        &[JValue::Object(&action)],
    )?;
    let kind = JString::new(env, kind)?;
    env.call_method(
        &intent,
        jni_str!("setType"),
        jni_sig!("(Ljava/lang/String;)Landroid/content/Intent;"),
        &[JValue::Object(&kind)],
    )?;
    let extra = JString::new(env, "android.intent.extra.STREAM")?;
    env.call_method(
        &intent,
        jni_str!("putExtra"),
        jni_sig!("(Ljava/lang/String;Landroid/os/Parcelable;)Landroid/content/Intent;"),
        &[JValue::Object(&extra), JValue::Object(place)],
    )?;
    // FLAG_GRANT_READ_URI_PERMISSION, android.content.Intent.
    env.call_method(
        &intent,
        jni_str!("addFlags"),
        jni_sig!("(I)Landroid/content/Intent;"),
        &[JValue::Int(1)],
    )?;
    let none = JObject::null();
    let sheet = env
        .call_static_method(
            jni_str!("android/content/Intent"),
            jni_str!("createChooser"),
            jni_sig!("(Landroid/content/Intent;Ljava/lang/CharSequence;)Landroid/content/Intent;"),
            &[JValue::Object(&intent), JValue::Object(&none)],
        )?
        .l()?;
    env.call_method(
        activity,
        jni_str!("startActivity"),
        jni_sig!("(Landroid/content/Intent;)V"),
        &[JValue::Object(&sheet)],
    )?;
    Ok(())
}
