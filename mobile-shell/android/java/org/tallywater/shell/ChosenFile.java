package org.tallywater.shell;

import android.content.ContentResolver;
import android.database.Cursor;
import android.net.Uri;
import android.provider.OpenableColumns;
import java.io.File;
import java.io.FileOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;

/**
 * A copy of what a person chose, in the program's own cache: another program's file is no path
 * that could be read. The native side reads it at once and takes it away; what was left by a
 * program that ended first goes at the next start.
 */
final class ChosenFile {
    /**
     * The largest that is copied, in bytes: as large as a dive log may be. Only a course file may be
     * larger, and is taken in at a desk then.
     */
    private static final long MOST = 64L * 1024 * 1024;
    private static final String FOLDER = "chosen";
    /** So many of the last letters of a name stay, its ending among them. */
    private static final int LETTERS = 60;

    /** One of the numbers of {@link PoolsideActivity}. */
    final int how;
    private final File file;

    private ChosenFile(int how, File file) {
        this.how = how;
        this.file = file;
    }

    /** Copies a file; one that was not copied whole leaves nothing behind. */
    static ChosenFile copied(ContentResolver resolver, File cache, Uri from) {
        // A folder of its own, so that the copy can be called what the file is called.
        File folder = new File(new File(cache, FOLDER), Long.toString(System.nanoTime()));
        File into = new File(folder, FOLDER);
        int how;
        try {
            if (!folder.mkdirs()) {
                throw new IOException("no folder");
            }
            into = new File(folder, plain(nameOf(resolver, from)));
            how = copy(resolver, from, into) ? PoolsideActivity.CHOSEN : PoolsideActivity.TOO_LARGE;
        } catch (IOException | RuntimeException refused) {
            // Whoever provides the file answers with whatever exception it likes.
            how = PoolsideActivity.UNREADABLE;
        }
        ChosenFile file = new ChosenFile(how, into);
        if (how != PoolsideActivity.CHOSEN) {
            file.forget();
        }
        return file;
    }

    /** Where the copy is; empty where there is none. */
    String path() {
        return how == PoolsideActivity.CHOSEN ? file.getPath() : "";
    }

    /** Takes the copy away. */
    void forget() {
        forgetAt(file.getParentFile());
    }

    /** Takes away every copy. */
    static void forgetAll(File cache) {
        forgetAt(new File(cache, FOLDER));
    }

    private static void forgetAt(File at) {
        File[] within = at.listFiles();
        if (within != null) {
            for (File one : within) {
                forgetAt(one);
            }
        }
        // What cannot be taken away now is tried again at the next start.
        at.delete();
    }

    /** Whether all of it was copied; else it is larger than the most. */
    private static boolean copy(ContentResolver resolver, Uri from, File into) throws IOException {
        try (InputStream in = resolver.openInputStream(from);
                OutputStream out = new FileOutputStream(into)) {
            if (in == null) {
                throw new IOException("nothing to read");
            }
            byte[] part = new byte[64 * 1024];
            long all = 0;
            for (int read = in.read(part); read >= 0; read = in.read(part)) {
                all += read;
                if (all > MOST) {
                    return false;
                }
                out.write(part, 0, read);
            }
            return true;
        }
    }

    /** What the file is called where it came from. */
    private static String nameOf(ContentResolver resolver, Uri from) {
        String[] column = {OpenableColumns.DISPLAY_NAME};
        try (Cursor rows = resolver.query(from, column, null, null, null)) {
            if (rows != null && rows.moveToFirst() && !rows.isNull(0)) {
                return rows.getString(0);
            }
        }
        return "";
    }

    /** The end of a name, of letters that every file system takes and nothing that leads away. */
    static String plain(String name) {
        String end = name.substring(Math.max(0, name.length() - LETTERS));
        String letters = end.replaceAll("[^\\p{L}\\p{N}._ -]", "-").replaceFirst("^\\.+", "");
        return letters.isEmpty() ? FOLDER : letters;
    }
}
