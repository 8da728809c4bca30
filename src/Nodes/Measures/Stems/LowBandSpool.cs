using System.Buffers;
using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;
using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.Measures.Stems;

/// <summary>
/// The low band of every plane of a song, in a temporary file so that memory does not grow with the song: 32-bit floating point, about 6 kB a plane and second.
/// The file goes with the object. Safe to use from several threads, as long as each plane is written by one.
/// </summary>
public sealed class LowBandSpool : IDisposable
{
    private readonly SafeFileHandle _file;
    private readonly string _path;
    private readonly long _frames;

    /// <summary>A spool of silence.</summary>
    /// <param name="planes">How many.</param>
    /// <param name="frames">Frames of each.</param>
    /// <exception cref="OutputException">The temporary folder cannot be written to.</exception>
    public LowBandSpool(int planes, long frames)
    {
        _frames = frames;
        _path = Path.GetTempPath();
        try
        {
            _path = Path.GetTempFileName();
            _file = File.OpenHandle(_path, FileMode.Create, FileAccess.ReadWrite, FileShare.None, FileOptions.DeleteOnClose);
            if (!OperatingSystem.IsWindows()) File.Delete(_path); // it stays open without a name, and is gone with us even if we are killed
            RandomAccess.SetLength(_file, planes * frames * sizeof(float));
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            _file?.Dispose();
            throw Failed(failure);
        }
    }

    /// <summary>Writes frames of a plane. What would lie outside it is left out.</summary>
    /// <exception cref="OutputException">The disk is full, say.</exception>
    public void Write(int plane, long startFrame, ReadOnlySpan<double> samples)
    {
        samples = samples[..(int)Math.Clamp(_frames - startFrame, 0, samples.Length)];
        var kept = ArrayPool<float>.Shared.Rent(samples.Length);
        for (var index = 0; index < samples.Length; index++)
            kept[index] = (float)samples[index];
        try
        {
            RandomAccess.Write(_file, MemoryMarshal.AsBytes(kept.AsSpan(0, samples.Length)), ((plane * _frames) + startFrame) * sizeof(float));
        }
        catch (IOException failure)
        {
            throw Failed(failure);
        }
        finally
        {
            ArrayPool<float>.Shared.Return(kept);
        }
    }

    /// <summary>Reads frames of a plane; those before 0 and past its end are 0.</summary>
    /// <exception cref="OutputException">The temporary file cannot be read back.</exception>
    public void Read(int plane, long startFrame, Span<double> into)
    {
        var first = Math.Clamp(startFrame, 0, _frames);
        var count = (int)(Math.Clamp(startFrame + into.Length, first, _frames) - first);
        into.Clear();
        if (count == 0)
            return;

        var kept = ArrayPool<float>.Shared.Rent(count);
        try
        {
            var bytes = MemoryMarshal.AsBytes(kept.AsSpan(0, count));
            for (var done = 0; done < bytes.Length;)
            {
                var read = RandomAccess.Read(_file, bytes[done..], (((plane * _frames) + first) * sizeof(float)) + done);
                if (read == 0)
                    throw new IOException("it has become shorter");
                done += read;
            }

            var target = into[(int)(first - startFrame)..];
            for (var index = 0; index < count; index++)
                target[index] = kept[index];
        }
        catch (IOException failure)
        {
            throw Failed(failure);
        }
        finally
        {
            ArrayPool<float>.Shared.Return(kept);
        }
    }

    /// <summary>Closes the file, which takes it away.</summary>
    public void Dispose() => _file.Dispose();

    private OutputException Failed(Exception failure) => new(
        _path, $"the temporary file for measuring failed ({failure.Message.TrimEnd('.')})", "Make room in the temporary folder, or let TMPDIR (TEMP on Windows) name another", failure);
}
