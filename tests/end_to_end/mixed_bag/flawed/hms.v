module hms(input clk_1hz, input rst, output reg [5:0] ss, output reg [5:0] mm, output reg [4:0] hh);
  always @(posedge clk_1hz or posedge rst)
    if (rst) begin ss <= 0; mm <= 0; hh <= 0; end
    else if (ss == 59) begin
      ss <= 0;
      if (mm == 59) begin
        mm <= 0;
        if (hh == 24) hh <= 0; else hh <= hh + 1;
      end else mm <= mm + 1;
    end else ss <= ss + 1;
endmodule
