using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Graph.Contracts;

/// <summary>Where stems come from and renders go to.</summary>
public interface IAudioFiles
{
    /// <summary>Opens a stem for reading, and only for reading.</summary>
    /// <param name="report">Called for each warning, or once with the error for which null is returned: code, severity, sentence, remedy.</param>
    /// <returns>The open stem, or null if it cannot be read.</returns>
    IStemReader? OpenStem(StemRequest request, StemReport report);

    /// <summary>The same stem at another sample rate, as long and at the same place.</summary>
    /// <param name="stem">Is owned by what is returned.</param>
    /// <param name="sampleRateHz">8000 to 384000.</param>
    IStemReader ConvertRate(IStemReader stem, int sampleRateHz);

    /// <summary>Begins an output in a file of its own beside the target.</summary>
    /// <exception cref="OutputException">The folder cannot be written to.</exception>
    IOutputWriter CreateOutput(OutputFormat format);
}

/// <summary>What is wanted of a stem's file.</summary>
/// <param name="Path">Full path.</param>
/// <param name="GainDb">Applied to every sample as it is read; 0 changes none of them by a bit.</param>
/// <param name="Channels">One or two of the file's channels, counted from 1; null for all of them.</param>
public sealed record StemRequest(string Path, double GainDb = 0, IReadOnlyList<int>? Channels = null);

/// <summary>Says what was found in a stem's file. Sentence and remedy come without a full stop.</summary>
public delegate void StemReport(DiagnosticCode code, Severity severity, string sentence, string remedy);

/// <summary>An open stem. Safe to read from several threads at once.</summary>
public interface IStemReader : IDisposable
{
    /// <summary>What is in the file.</summary>
    StemFormat Format { get; }

    /// <summary>
    /// Reads from <paramref name="startFrame"/> on until <paramref name="into"/> is full, full scale being 1, at the gain it was opened with.
    /// Frames before 0 and past the end are zero. <paramref name="into"/> has as many channels as the file.
    /// </summary>
    /// <exception cref="StemException">The file changed or failed, or holds a sample that is not a finite number.</exception>
    void Read(long startFrame, Signal into);

    /// <summary>To be asked when all has been read, before anything made from it replaces a file: whether what was read was one and the same file throughout.</summary>
    /// <exception cref="StemException">The file was written to since it was opened.</exception>
    void CheckUnchanged()
    {
        // Not every stem is a file.
    }
}

/// <summary>What is in a stem's file.</summary>
/// <param name="SampleRateHz">Frames a second.</param>
/// <param name="Channels">1 or 2.</param>
/// <param name="LengthFrames">Frames in the file, or what they become at another rate.</param>
/// <param name="Encoding">How samples are stored, in words for a table: <c>24-bit PCM</c>.</param>
public sealed record StemFormat(int SampleRateHz, int Channels, long LengthFrames, string Encoding)
{
    /// <summary>Where the first frame lies, in the file's own frames since midnight, or null if the file does not say.</summary>
    public long? TimeReferenceFrames { get; init; }

    /// <summary>The rate that the file itself has, if it is converted; else null.</summary>
    public int? ConvertedFromHz { get; init; }

    /// <summary>The rate that the file itself has.</summary>
    public int FileRateHz => ConvertedFromHz ?? SampleRateHz;

    /// <summary>Who made the sound, when and how; null if the file does not say.</summary>
    public OriginNote? Origin { get; init; }
}

/// <summary>What an output is to be.</summary>
/// <param name="Name">The output's id: seeds its dither.</param>
/// <param name="Path">Full path of the target.</param>
/// <param name="SampleRateHz">Frames a second.</param>
/// <param name="Channels">1 or 2.</param>
/// <param name="Encoding">How samples are stored.</param>
/// <param name="FirstFrame">The song's frame that the file starts with: dither depends on the place in the song, so a part equals the same part of the whole.</param>
/// <param name="LengthFrames">Frames to be written: decides the container.</param>
public sealed record OutputFormat(
    string Name, string Path, int SampleRateHz, int Channels, SampleEncoding Encoding, long FirstFrame, long LengthFrames)
{
    /// <summary>Whose origin is carried on; null for none.</summary>
    public OriginNote? Origin { get; init; }

    /// <summary>With an origin: where the song's first frame lies, in the song's frames since midnight.</summary>
    public long OriginFrames { get; init; }

    /// <summary>Markers, by the song's frames, in order; null for none. Those outside the file are left out.</summary>
    public IReadOnlyList<Cue>? Cues { get; init; }
}

/// <summary>How an output stores its samples.</summary>
public enum SampleEncoding
{
    /// <summary>16-bit integers, dithered.</summary>
    Pcm16,

    /// <summary>24-bit integers, dithered.</summary>
    Pcm24,

    /// <summary>32-bit integers, dithered.</summary>
    Pcm32,

    /// <summary>32-bit floating point, not dithered.</summary>
    Float32,
}

/// <summary>An output being written. Disposed before <see cref="Commit"/>, it leaves no trace.</summary>
public interface IOutputWriter : IDisposable
{
    /// <summary>Appends frames; as many channels as the format says.</summary>
    /// <exception cref="OutputException">The disk is full, say.</exception>
    void Write(Signal signal);

    /// <summary>Finishes the file and flushes it to disk, still beside the target.</summary>
    /// <exception cref="OutputException">The disk is full, say.</exception>
    OutputSummary Finish();

    /// <summary>Moves the finished file into place.</summary>
    /// <exception cref="OutputException">The target cannot be replaced.</exception>
    void Commit();
}

/// <summary>What was written.</summary>
/// <param name="Frames">Frames in the file.</param>
/// <param name="PeakAmplitude">Largest absolute sample before rounding, full scale being 1; may be more.</param>
/// <param name="ClippedSamples">Samples past full scale, held there; always 0 for floating point.</param>
/// <param name="Container">WAV or RF64.</param>
public sealed record OutputSummary(long Frames, double PeakAmplitude, long ClippedSamples, string Container);

/// <summary>A stem failed in the middle of a render. The message is a finished sentence and remedy for the person.</summary>
public sealed class StemException(DiagnosticCode code, string path, string sentence, string remedy, Exception? inner = null)
    : Exception($"{path}: {code.Text()}: {sentence}. {remedy}.", inner)
{
    /// <summary>Which rule was broken.</summary>
    public DiagnosticCode Code => code;

    /// <summary>The stem's file.</summary>
    public string Path => path;

    /// <summary>What is, and what was wanted.</summary>
    public string Sentence => sentence;

    /// <summary>What to do about it.</summary>
    public string Remedy => remedy;
}

/// <summary>An output could not be written. The message is a finished sentence and remedy for the person.</summary>
public sealed class OutputException(string path, string sentence, string remedy, Exception? inner = null)
    : Exception($"{path}: {DiagnosticCode.OutputUnwritable.Text()}: {sentence}. {remedy}.", inner)
{
    /// <summary>The output's file.</summary>
    public string Path => path;

    /// <summary>What is, and what was wanted.</summary>
    public string Sentence => sentence;

    /// <summary>What to do about it.</summary>
    public string Remedy => remedy;
}
