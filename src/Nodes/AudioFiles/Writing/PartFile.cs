using Microsoft.Win32.SafeHandles;
using RenderGraph.Graph.Contracts;
using static System.FormattableString;
using RenderGraph.Nodes.AudioFiles.Samples;

namespace RenderGraph.Nodes.AudioFiles.Writing;

/// <summary>
/// A file that is written beside its target, under a name of its own (<c>.mix.wav.part</c>), and takes the target's place only when it is
/// whole. Until then the target stays as it was, and whatever goes wrong leaves neither a part nor a new folder.
/// </summary>
internal sealed class PartFile : IDisposable
{
    private const int MostNameBytes = 255;

    /// <summary>Bytes handed to the system at once, always from a multiple of this on: it then takes whole large pages, for a quarter of the time.</summary>
    private const int BufferBytes = 256 * 1024;

    /// <summary>Bytes after which what has been written is brought to the disk, while the render goes on.</summary>
    private const long BytesBetweenFlushes = 16 << 20;

    /// <summary>ENOSPC and EDQUOT of Linux, EDQUOT of macOS, ERROR_DISK_FULL and ERROR_HANDLE_DISK_FULL of Windows.</summary>
    private static readonly int[] NoSpace = [28, 122, 69, unchecked((int)0x80070070), unchecked((int)0x80070027)];

    /// <summary>COR_E_IO, of no system: .NET gives it when room for a new file could not be kept.</summary>
    private const int NoRoomKept = unchecked((int)0x80131620);

    /// <summary>EAGAIN of Linux and macOS, ERROR_SHARING_VIOLATION of Windows.</summary>
    private static readonly int[] InUse = [11, 35, unchecked((int)0x80070020)];

    private readonly string _target;
    private readonly string _part;
    private readonly NewFolders _folders;
    private readonly long _bytes;
    private readonly SafeFileHandle? _handle;
    private Task _flush = Task.CompletedTask;
    private long _nextFlushAt = BytesBetweenFlushes;
    private bool _isCommitted;

    /// <param name="target">Full path.</param>
    /// <param name="bytes">Size that it is going to have, more or less: room is kept for it, so that a full disk is told before the work.</param>
    /// <param name="folders">Makes the target's folder, and takes it away again.</param>
    /// <param name="wrap">Puts something between us and the disk; for tests.</param>
    /// <exception cref="OutputException">The target cannot be written.</exception>
    public PartFile(string target, long bytes, NewFolders folders, Func<Stream, Stream> wrap)
    {
        _target = target;
        _part = PartOf(target);
        _bytes = bytes;
        _folders = folders;
        if (Directory.Exists(target))
            throw new OutputException(target, "it is a folder", "Give the output another file name");
        if (File.Exists(target) && File.GetAttributes(target).HasFlag(FileAttributes.ReadOnly))
            throw new OutputException(target, "it is there and write-protected", "Make it writable, or give the output another file name");
        try
        {
            _folders.Make(Path.GetDirectoryName(target)!);

            StaleParts.Sweep(Path.GetDirectoryName(target)!);

            // A link would send the sound elsewhere, perhaps over a stem.
            if (new FileInfo(_part).LinkTarget is not null) File.Delete(_part);
            _handle = File.OpenHandle(_part, FileMode.Create, FileAccess.ReadWrite, FileShare.None, preallocationSize: bytes);
            Stream = wrap(new FileStream(_handle, FileAccess.ReadWrite, BufferBytes));
        }
        catch (Exception failure) when (IsFailure(failure))
        {
            _handle?.Dispose();
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

    /// <summary>Whether a file's name is one that <see cref="PartOf"/> gives.</summary>
    public static bool IsPart(string path)
    {
        var name = Path.GetFileName(path);
        if (!name.StartsWith('.') || !name.EndsWith(".part", StringComparison.Ordinal)) return false;
        var inner = name[1..^5];
        return inner.EndsWith(".wav", StringComparison.OrdinalIgnoreCase) || (inner.Length == 16 && inner.All(char.IsAsciiHexDigitLower));
    }

    /// <summary>
    /// To be called between writes: now and then it has what is written so far brought to the disk, without waiting for it, so that little is
    /// left to do at the end.
    /// </summary>
    /// <exception cref="IOException">The disk failed the last time.</exception>
    public void WriteOn()
    {
        if (Stream.Position < _nextFlushAt || !_flush.IsCompleted) return;
        _flush.GetAwaiter().GetResult();
        _nextFlushAt = Stream.Position + BytesBetweenFlushes;
        _flush = Task.Run(() => RandomAccess.FlushToDisk(_handle!));
    }

    /// <summary>Brings everything to the disk and closes the part.</summary>
    public void Finish()
    {
        _flush.GetAwaiter().GetResult();
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

        // It is about to go anyway, and if it cannot be removed, the next render overwrites it.
        Quietly(() => _flush.GetAwaiter().GetResult());
        Quietly(Stream.Dispose);
        Quietly(() => File.Delete(_part));
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
        IOException { HResult: NoRoomKept } => new(_target, Invariant($"the disk has no room for its {_bytes:N0} bytes"),
            "Make room, or choose a folder on another disk", failure),
        IOException when NoSpace.Contains(failure.HResult) => new(_target, "the disk is full, or your share of it",
            "Make room, or choose a folder on another disk", failure),
        IOException when InUse.Contains(failure.HResult) => new(_target, "another render is writing it just now",
            "Wait until that has ended, or choose another folder", failure),
        _ => new(_target, $"it cannot be written ({failure.Message.TrimEnd('.')})", "Check the disk, or choose another folder", failure),
    };

    private static void Quietly(Action action)
    {
        try
        {
            action();
        }
        catch (Exception failure) when (IsFailure(failure))
        {
            // The caller knows why this may be.
        }
    }
}
