using Microsoft.Win32.SafeHandles;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Wave;
using RenderGraph.Nodes.AudioFiles.Writing;

namespace RenderGraph.Nodes.AudioFiles;

/// <summary>Stems and outputs on disk: WAV, RF64 and BW64 in, WAV and RF64 out. What is loaded and what refused is listed in README.md beside this file.</summary>
public sealed class DiskAudioFiles : IAudioFiles
{
    private readonly NewFolders _folders = new();

    /// <inheritdoc/>
    public IStemReader? OpenStem(StemRequest request, StemReport report)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(report);
        var path = request.Path;
        try
        {
            return IsOrdinaryFile(path, report) ? Open(path, request.GainDb, report) : null;
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
    public IOutputWriter CreateOutput(OutputFormat format)
    {
        ArgumentNullException.ThrowIfNull(format);
        return new WaveWriter(format, _folders);
    }

    private static WaveReader? Open(string path, double gainDb, StemReport report)
    {
        var file = File.OpenHandle(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete, FileOptions.SequentialScan);
        WaveReader? reader = null;
        try
        {
            if (WaveHeader.Read(file, report) is { } header) reader = new WaveReader(file, path, header, gainDb);
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
