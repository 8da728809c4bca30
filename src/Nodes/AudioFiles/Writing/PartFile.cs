using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles.Samples;

namespace RenderGraph.Nodes.AudioFiles.Writing;

/// <summary>
/// A file that is written beside its target, under a name of its own (<c>.mix.wav.part</c>), and takes the target's place only when it is
/// whole. Until then the target stays as it was, and whatever goes wrong leaves neither a part nor a new folder.
/// </summary>
internal sealed class PartFile : IDisposable
{
    private const int MostNameBytes = 255;

    /// <summary>ENOSPC and EDQUOT of Linux, EDQUOT of macOS, ERROR_DISK_FULL and ERROR_HANDLE_DISK_FULL of Windows.</summary>
    private static readonly int[] NoSpace = [28, 122, 69, unchecked((int)0x80070070), unchecked((int)0x80070027)];

    private readonly string _target;
    private readonly string _part;
    private readonly NewFolders _folders;
    private bool _isCommitted;

    /// <param name="target">Full path.</param>
    /// <param name="folders">Makes the target's folder, and takes it away again.</param>
    /// <param name="wrap">Puts something between us and the disk; for tests.</param>
    /// <exception cref="OutputException">The target cannot be written.</exception>
    public PartFile(string target, NewFolders folders, Func<Stream, Stream> wrap)
    {
        _target = target;
        _part = PartOf(target);
        _folders = folders;
        if (Directory.Exists(target))
            throw new OutputException(target, "it is a folder", "Give the output another file name");
        if (File.Exists(target) && File.GetAttributes(target).HasFlag(FileAttributes.ReadOnly))
            throw new OutputException(target, "it is there and write-protected", "Make it writable, or give the output another file name");
        try
        {
            _folders.Make(Path.GetDirectoryName(target)!);

            // A link would send the sound elsewhere, perhaps over a stem.
            if (new FileInfo(_part).LinkTarget is not null) File.Delete(_part);
            Stream = wrap(new FileStream(_part, FileMode.Create, FileAccess.ReadWrite, FileShare.None, bufferSize: 0));
        }
        catch (Exception failure) when (IsFailure(failure))
        {
            _folders.RemoveEmpty();
            throw Failed(failure);
        }
    }

    /// <summary>What is written so far.</summary>
    public Stream Stream { get; }

    /// <summary>The name under which a target is written: <c>.NAME.part</c>; where that is too long for a file name, a hash in NAME's place.</summary>
    public static string PartOf(string target)
    {
        var name = $".{Path.GetFileName(target)}.part";
        if (System.Text.Encoding.UTF8.GetByteCount(name) > MostNameBytes) name = $".{Dither.Seed(name):x16}.part";
        return Path.Join(Path.GetDirectoryName(target), name);
    }

    /// <summary>Brings everything to the disk and closes the part.</summary>
    public void Finish()
    {
        if (Stream is FileStream file) file.Flush(flushToDisk: true);
        else Stream.Flush();
        Stream.Dispose();
    }

    /// <summary>Puts the part in the target's place.</summary>
    /// <exception cref="OutputException">The target cannot be replaced.</exception>
    public void Commit()
    {
        try
        {
            File.Move(_part, _target, overwrite: true);
            _isCommitted = true;
        }
        catch (Exception failure) when (IsFailure(failure))
        {
            throw Failed(failure);
        }
    }

    /// <summary>Removes what was not committed.</summary>
    public void Dispose()
    {
        if (_isCommitted) return;
        try
        {
            Stream.Dispose();
        }
        catch (IOException)
        {
            // It is about to go anyway.
        }

        try
        {
            File.Delete(_part);
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            // Nothing more can be done: the next render overwrites it.
        }

        _folders.RemoveEmpty();
    }

    /// <summary>Whether a failure is the disk's; .NET reports a file too large for the file system as an argument out of range.</summary>
    public static bool IsFailure(Exception failure) => failure is IOException or UnauthorizedAccessException or ArgumentException;

    /// <summary>Puts a failure into words.</summary>
    public OutputException Failed(Exception failure) => failure switch
    {
        UnauthorizedAccessException => new(_target, "it may not be written: permission is missing",
            "Allow yourself to write to its folder, or choose another", failure),
        DirectoryNotFoundException => new(_target, "its folder is gone", "Render again", failure),
        ArgumentException => new(_target, "the disk's file system takes no file as large as this, or no such name",
            "Choose a folder on another disk", failure),
        IOException when NoSpace.Contains(failure.HResult) => new(_target, "the disk is full, or your share of it",
            "Make room, or choose a folder on another disk", failure),
        _ => new(_target, $"it cannot be written ({failure.Message.TrimEnd('.')})", "Check the disk, or choose another folder", failure),
    };
}
