using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>How much sound a file holds: what its header tells, against what is there.</summary>
internal static class StoredLength
{
    /// <summary>Frames that are there, or null after an error; says what is odd.</summary>
    /// <param name="bytesTold">Of sound, by the header.</param>
    /// <param name="isOpenEnded">Whether the header was never finished, so that all that is there is meant.</param>
    /// <param name="bytesThere">From the sound's beginning to the end of the file.</param>
    public static long? Frames(long bytesTold, bool isOpenEnded, long bytesThere, int bytesPerFrame, int sampleRateHz, StemReport report)
    {
        var bytes = Math.Max(0, isOpenEnded ? bytesThere : Math.Min(bytesTold, bytesThere));
        var frames = bytes / bytesPerFrame;
        var framesTold = bytesTold / bytesPerFrame;
        if (frames == 0)
        {
            report(DiagnosticCode.StemDamaged, Severity.Error, "it holds no sound, not even one frame", "Export it again, or take the stem out of the graph");
            return null;
        }

        if (isOpenEnded)
        {
            Warn(Invariant($"its length was never filled in, as when a recording breaks off; all {frames:N0} frames to the end of the file are taken"),
                "Check that it ends where it should, or export it again");
        }
        else if (framesTold > frames)
        {
            Warn(EndsEarly(framesTold, frames, sampleRateHz), "Copy or export it again; without the rest, silence follows");
        }
        else if (bytes % bytesPerFrame is var rest and > 0)
        {
            Warn(Invariant($"its sound ends inside a frame: the last {rest} of {bytes:N0} bytes are left out"), "Export it again if it does not end as it should");
        }

        return frames;

        void Warn(string sentence, string remedy) => report(DiagnosticCode.StemDamaged, Severity.Warning, sentence, remedy);
    }

    /// <summary>For a file that was cut off.</summary>
    public static string EndsEarly(long framesTold, long frames, int sampleRateHz) =>
        Invariant($"it ends early: its header tells of {framesTold:N0} frames, {frames:N0} are there, {framesTold - frames:N0} ({(double)(framesTold - frames) / sampleRateHz:0.000} s) are missing");
}
