module bcd_24h #(parameter CLK_HZ = 10_000_000)(
  input clk, rst,
  output reg [3:0] s_lo, output reg [3:0] s_hi,
  output reg [3:0] m_lo, output reg [3:0] m_hi,
  output reg [3:0] h_lo, output reg [3:0] h_hi);
  reg [23:0] p;
  wire t = (p == CLK_HZ-1);
  always @(posedge clk)
    if (rst) p <= 0; else p <= t ? 0 : p + 1;
  always @(posedge clk)
    if (rst) begin s_lo<=0; s_hi<=0; m_lo<=0; m_hi<=0; h_lo<=0; h_hi<=0; end
    else if (t) begin
      if (s_lo < 9) s_lo <= s_lo + 1;
      else begin s_lo <= 0;
        if (s_hi < 5) s_hi <= s_hi + 1;
        else begin s_hi <= 0;
          if (m_lo < 9) m_lo <= m_lo + 1;
          else begin m_lo <= 0;
            if (m_hi < 5) m_hi <= m_hi + 1;
            else begin m_hi <= 0;
              if (h_hi == 2 && h_lo == 4) begin h_hi <= 0; h_lo <= 0; end
              else if (h_lo == 9) begin h_lo <= 0; h_hi <= h_hi + 1; end
              else h_lo <= h_lo + 1;
            end
          end
        end
      end
    end
endmodule
