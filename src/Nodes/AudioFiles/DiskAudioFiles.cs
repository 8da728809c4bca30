using System.Collections.Concurrent;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Aiff;
using RenderGraph.Nodes.AudioFiles.Flac;
using RenderGraph.Nodes.AudioFiles.Mpeg;
using RenderGraph.Nodes.AudioFiles.Vorbis;
using RenderGraph.Nodes.AudioFiles.Wave;
using RenderGraph.Nodes.AudioFiles.Writing;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.AudioFiles;

/// <summary>Stems and outputs on disk. What is loaded and what refused is listed in README.md beside this file.</summary>
public sealed class DiskAudioFiles : IAudioFiles
{
    private const string KindsRead = "WAV, AIFF, FLAC, Ogg Vorbis or MP3 file";

    /// <summary>What is read: the first that a file matches.</summary>
    private static readonly AudioFileKind[] Kinds = [WaveKinds.Plain, WaveKinds.Wide, WaveKinds.Wave64, AiffKind.Kind, FlacKind.Kind, VorbisKind.Kind, MpegKind.Kind];

    private readonly NewFolders _folders = new();
    private readonly ConcurrentDictionary<(int FromHz, int ToHz), RateConversion> _conversions = new();

    /// <inheritdoc/>
    public IStemReader? OpenStem(StemRequest request, StemReport report)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(report);
        var path = request.Path;
        try
        {
            return IsOrdinaryFile(path, report) ? Open(request, report) : null;
        }
        catch (UnauthorizedAccessException)
        {
            report(DiagnosticCode.StemUnreadable, Severity.Error, "it may not be read: permission is missing", "Allow yourself to read the file and its folder");
        }
        catch (Exception failure) when (failure is FileNotFoundException or DirectoryNotFoundException or ArgumentException)
        {
            Missing(path, report);
        }
        catch (IOException failure)
        {
            report(DiagnosticCode.StemUnreadable, Severity.Error, $"it cannot be read ({failure.Message.TrimEnd('.')})", "Check the disk or the connection to it");
        }

        return null;
    }

    /// <inheritdoc/>
    public IStemReader ConvertRate(IStemReader stem, int sampleRateHz)
    {
        ArgumentNullException.ThrowIfNull(stem);

        // One set of weights for all stems of a rate: they are large, and take time to make.
        return new ConvertedStem(stem, _conversions.GetOrAdd((stem.Format.SampleRateHz, sampleRateHz), static rates => new(rates.FromHz, rates.ToHz)));
    }

    /// <inheritdoc/>
    public IOutputWriter CreateOutput(OutputFormat format)
    {
        ArgumentNullException.ThrowIfNull(format);
        return new WaveWriter(format, _folders);
    }

    private static IStemReader? Open(StemRequest request, StemReport report)
    {
        var file = new StemFile(request.Path);
        IStemReader? reader = null;
        try
        {
            var start = file.Bytes(file.TagBytes, FileKind.Bytes);
            var kind = Array.Find(Kinds, kind => kind.Matches(start));
            if (kind is null)
            {
                report(DiagnosticCode.StemNotAudio, Severity.Error,
                    FileKind.Describe(start) is { } other ? $"by its content it is {other}; a stem is a {KindsRead}" : $"its content is of no known kind; a stem is a {KindsRead}",
                    "Export the part as a WAV file");
                return null;
            }

            // A file that is refused gets one sentence: what would have been a warning is no longer worth telling.
            var warnings = new List<Action>();
            reader = kind.Open(file, request, (code, severity, sentence, remedy) =>
            {
                if (severity == Severity.Warning) warnings.Add(() => report(code, severity, sentence, remedy));
                else report(code, severity, sentence, remedy);
            });
            if (reader is not null) warnings.ForEach(tell => tell());
            return reader;
        }
        finally
        {
            if (reader is null) file.Dispose();
        }
    }

    /// <summary>To open a pipe would wait for its other end, so nothing is opened that has no length: devices, pipes, and empty files.</summary>
    private static bool IsOrdinaryFile(string path, StemReport report)
    {
        if (Directory.Exists(path))
        {
            report(DiagnosticCode.StemUnreadable, Severity.Error, "it is a folder, but a stem is a file", "Name the file in it");
            return false;
        }

        var file = new FileInfo(path);
        if (file.ResolveLinkTarget(returnFinalTarget: true) is FileInfo target)
        {
            if (!target.Exists)
            {
                report(DiagnosticCode.StemMissing, Severity.Error, "it is a link to a file that is not there", "Correct the link, or name the file itself");
                return false;
            }

            file = target;
        }

        if (!file.Exists)
        {
            Missing(path, report);
            return false;
        }

        if (file.Length > 0) return true;
        report(DiagnosticCode.StemNotAudio, Severity.Error, "it is empty, or no ordinary file (a device or a pipe)", "Export the part as a WAV file");
        return false;
    }

    private static void Missing(string path, StemReport report)
    {
        var folder = Path.GetDirectoryName(path);
        var remedy = "Check its name and folder";
        if (folder is { Length: > 0 } && !Directory.Exists(folder))
            remedy = "Not even its folder is there: check the path";
        else if (NearestFile(path, folder) is { } nearest)
            remedy = $"The nearest name there is \"{nearest}\"";
        report(DiagnosticCode.StemMissing, Severity.Error, "there is no such file", remedy);
    }

    private static string? NearestFile(string path, string? folder)
    {
        try
        {
            return folder is { Length: > 0 } ? NearestName.Of(Path.GetFileName(path), Directory.EnumerateFiles(folder).Select(Path.GetFileName).OfType<string>()) : null;
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }
}
