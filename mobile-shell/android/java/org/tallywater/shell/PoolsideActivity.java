package org.tallywater.shell;

import android.app.NativeActivity;
import android.content.ActivityNotFoundException;
import android.content.Context;
import android.content.Intent;
import android.content.pm.PackageManager;
import android.net.Uri;
import android.os.Bundle;
import android.print.PrintManager;
import android.view.KeyEvent;
import java.io.File;

/**
 * The window's activity, for what the system tells or takes from Java alone: a file that a person
 * chose, a sheet to print, a key for the volume. It decides nothing. The methods without a
 * modifier are called by the native side ({@code mobile-shell/src/android/poolside.rs}), by these
 * names and from a thread of its own: none of them waits for that thread, and it waits for none.
 */
public final class PoolsideActivity extends NativeActivity {
    /** What came of choosing a file; the native side has the same numbers. */
    static final int CHOSEN = 0;
    static final int NONE = 1;
    static final int UNREADABLE = 2;
    static final int TOO_LARGE = 3;

    /** The press whose file is waited for; 0 where none is. Of the system's thread alone. */
    private int open;
    /** Which of the two keys the program takes. */
    private volatile boolean takesUp;
    private volatile boolean takesDown;
    /** Which of them went down while it was taken: all of that press is. */
    private boolean heldUp;
    private boolean heldDown;

    /** A file was chosen for this press, or why there is none; the path is empty then. */
    native void chosen(int asked, int how, String path);

    /** The key for more volume was pressed, or the one for less. */
    native void volumeKey(boolean up);

    @Override
    protected void onCreate(Bundle state) {
        // What an ended program copied and never read.
        ChosenFile.forgetAll(getCacheDir());
        super.onCreate(state);
    }

    /** Lets a person choose a file of these kinds, parted by commas; of any, where none is named. */
    void chooseFile(int asked, String kinds) {
        runOnUiThread(() -> {
            Intent intent = new Intent(Intent.ACTION_OPEN_DOCUMENT);
            intent.addCategory(Intent.CATEGORY_OPENABLE);
            intent.setType("*/*");
            if (!kinds.isEmpty()) {
                intent.putExtra(Intent.EXTRA_MIME_TYPES, kinds.split(","));
            }
            open = asked;
            try {
                startActivityForResult(intent, asked);
            } catch (ActivityNotFoundException nothingChooses) {
                open = 0;
                chosen(asked, UNREADABLE, "");
            }
        });
    }

    @Override
    protected void onActivityResult(int requestCode, int resultCode, Intent data) {
        super.onActivityResult(requestCode, resultCode, data);
        // Of an older press, or of a program that was ended meanwhile: nobody waits for it.
        if (open == 0 || requestCode != open) {
            return;
        }
        open = 0;
        Uri file = resultCode == RESULT_OK && data != null ? data.getData() : null;
        if (file == null) {
            chosen(requestCode, NONE, "");
            return;
        }
        // A file may come from far away.
        new Thread(() -> copy(requestCode, file), "chosen").start();
    }

    private void copy(int asked, Uri from) {
        ChosenFile file = ChosenFile.copied(getContentResolver(), getCacheDir(), from);
        // Told once this activity is in front again: coming back, the program draws its screen
        // anew, and what was said of the file would be gone.
        runOnUiThread(() -> {
            // Another activity has taken over, with presses of its own under the same numbers.
            if (isDestroyed()) {
                file.forget();
            } else {
                chosen(asked, file.how, file.path());
            }
        });
    }

    /** Whether this device prints. */
    boolean prints() {
        return getPackageManager().hasSystemFeature(PackageManager.FEATURE_PRINTING);
    }

    /** Opens the system's print dialog on a PDF. */
    void print(String path, String name) {
        runOnUiThread(() -> {
            PrintManager manager = (PrintManager) getSystemService(Context.PRINT_SERVICE);
            if (manager != null) {
                manager.print(name, new Sheet(new File(path), name), null);
            }
        });
    }

    /** Takes these keys from now on; the others stay the system's. */
    void takeKeys(boolean up, boolean down) {
        takesUp = up;
        takesDown = down;
    }

    @Override
    public boolean dispatchKeyEvent(KeyEvent event) {
        int code = event.getKeyCode();
        boolean up = code == KeyEvent.KEYCODE_VOLUME_UP;
        if (!up && code != KeyEvent.KEYCODE_VOLUME_DOWN) {
            return super.dispatchKeyEvent(event);
        }
        if (event.getAction() == KeyEvent.ACTION_DOWN && event.getRepeatCount() == 0) {
            boolean takes = up ? takesUp : takesDown;
            if (up) {
                heldUp = takes;
            } else {
                heldDown = takes;
            }
            if (takes) {
                volumeKey(up);
            }
        }
        // Repeats and the way up go where the press went: a key that was learned by this very
        // press changes no volume by being let go.
        return (up ? heldUp : heldDown) || super.dispatchKeyEvent(event);
    }
}
