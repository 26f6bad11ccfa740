package org.tallywater.shell;

import android.os.Bundle;
import android.os.CancellationSignal;
import android.os.Handler;
import android.os.Looper;
import android.os.ParcelFileDescriptor;
import android.print.PageRange;
import android.print.PrintAttributes;
import android.print.PrintDocumentAdapter;
import android.print.PrintDocumentInfo;
import java.io.File;
import java.io.FileInputStream;
import java.io.FileOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;

/** Hands the bytes of a PDF to the system's print dialog, as they are. */
final class Sheet extends PrintDocumentAdapter {
    private final File file;
    private final String name;

    Sheet(File file, String name) {
        this.file = file;
        this.name = name;
    }

    @Override
    public void onLayout(
            PrintAttributes before,
            PrintAttributes now,
            CancellationSignal cancel,
            LayoutResultCallback callback,
            Bundle extras) {
        if (cancel.isCanceled()) {
            callback.onLayoutCancelled();
            return;
        }
        PrintDocumentInfo info =
                new PrintDocumentInfo.Builder(name)
                        .setContentType(PrintDocumentInfo.CONTENT_TYPE_DOCUMENT)
                        .setPageCount(PrintDocumentInfo.PAGE_COUNT_UNKNOWN)
                        .build();
        callback.onLayoutFinished(info, !now.equals(before));
    }

    @Override
    public void onWrite(
            PageRange[] pages,
            ParcelFileDescriptor destination,
            CancellationSignal cancel,
            WriteResultCallback callback) {
        // What reads at the other end may be slow; its answer is the system's thread's.
        Handler answers = new Handler(Looper.getMainLooper());
        new Thread(() -> write(destination, cancel, callback, answers), "sheet").start();
    }

    private void write(
            ParcelFileDescriptor destination,
            CancellationSignal cancel,
            WriteResultCallback callback,
            Handler answers) {
        try (InputStream in = new FileInputStream(file);
                OutputStream out = new FileOutputStream(destination.getFileDescriptor())) {
            byte[] part = new byte[16 * 1024];
            for (int read = in.read(part); read >= 0; read = in.read(part)) {
                if (cancel.isCanceled()) {
                    answers.post(callback::onWriteCancelled);
                    return;
                }
                out.write(part, 0, read);
            }
        } catch (IOException broken) {
            answers.post(() -> callback.onWriteFailed(null));
            return;
        }
        PageRange[] all = {PageRange.ALL_PAGES};
        answers.post(() -> callback.onWriteFinished(all));
    }
}
